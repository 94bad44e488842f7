package labels

import (
	"strings"
	"testing"

	"hulltally/costing"

	"pgregory.net/rapid"
)

// typed is what a host with the layout makes of a scanner's keystrokes.
func typed(l *layout, payload string) string {
	forth := map[rune]rune{}
	for from, to := range l.back {
		if _, ok := forth[to]; !ok {
			forth[to] = from
		}
	}
	return strings.Map(func(r rune) rune {
		if to, ok := forth[r]; ok {
			return to
		}
		return r
	}, payload)
}

func TestReadForms(t *testing.T) {
	_, p := NextSerial(Job, "00B1XK")
	for _, raw := range []string{p, p + "\r\n", p + "\t", " " + p[:1] + " " + p[1:4] + " " + p[4:], "]C0" + p, "]Q1" + p + "\r", "\ufeff" + p, p[:2] + strings.ToLower(p[2:])} {
		if r, err := Read(raw); err != nil || r.Payload != p || r.Kind != Job || r.Layout != "" || r.Measure != nil {
			t.Errorf("Read(%q) = %+v, %v", raw, r, err)
		}
		if got := Normalise(raw); got != p {
			t.Errorf("Normalise(%q) = %q", raw, got)
		}
	}
	if r, err := Read(strings.ToLower(p)); err != nil || r.Payload != p || r.Layout != LayoutCapsLock {
		t.Errorf("lower case: %+v, %v", r, err)
	}
}

func TestReadMeasures(t *testing.T) {
	for raw, want := range map[string]costing.Measure{
		"12.5": {Value: 12_500_000}, "12,5\r": {Value: 12_500_000}, "12.5MTR": {Value: 12_500_000, Unit: costing.Metre}, " 3 c62 ": {Value: 3_000_000, Unit: costing.Each},
		"0.000001": {Value: 1}, "1000000KGM": {Value: MaxMeasure, Unit: costing.Kilogram},
	} {
		if r, err := Read(raw); err != nil || r.Measure == nil || *r.Measure != want || r.Kind != 0 {
			t.Errorf("Read(%q) = %+v, %v", raw, r, err)
		}
	}
	for raw, want := range map[string]string{
		"": "nothing was read", "\r\n": "nothing was read", "0": "above zero", "-3": "negative", "1.2345678": "decimal places", "1000000.1": "too large",
		"4006381333931": "too large", "99999999999999999999": "too large", "12XYZ": "unit code", "1.2.3": "not a decimal", "&é:(": "AZERTY", "!?": "neither",
		"J000": "have 8 characters", "HELLOYOU": "begin with",
	} {
		if r, err := Read(raw); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Read(%q) = %+v, %v, want …%s…", raw, r, err, want)
		}
	}
}

// Every payload that a layout changes is read and the layout named. A mangled
// code may by chance (one in 37) pass as it stands or under a layout
// tried earlier; eight characters cannot tell, so the share is measured.
func TestLayoutsAreUndoneAndNamed(t *testing.T) {
	changed, right := map[string]int{}, map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		p := anyPayload().Draw(rt, "payload")
		for i := range layouts {
			l := &layouts[i]
			raw := typed(l, p)
			if raw == p {
				continue // the layout moves nothing of this payload
			}
			r, err := Read(raw)
			if err != nil || Check(r.Payload) != nil {
				rt.Fatalf("%s: %q = %+v, %v", l.name, raw, r, err)
			}
			changed[l.name]++
			if r.Payload == p && r.Layout == l.name {
				right[l.name]++
			}
		}
	})
	for name, n := range changed {
		t.Logf("%s: %d of %d changed codes read right and named", name, right[name], n)
		if right[name]*100 < n*90 {
			t.Errorf("%s: %d of %d", name, right[name], n)
		}
	}
	for raw, want := range map[string]string{"J\u00e0\u00e0\u00e0\u00e0\u00e0&\u00e7": LayoutAZERTY, "J\u00e9\u00e9\u00e9\u00e9\u00e9+\u00ed": LayoutQWERTZ, "j0000019": LayoutCapsLock} {
		r, err := Read(raw)
		if err != nil || r.Payload != "J0000019" || r.Layout != want {
			t.Errorf("Read(%q) = %+v, %v", raw, r, err)
		}
	}
}

// The price of undoing Dvorak: it swaps letters for letters, so some misreads
// pass as another code. They come flagged, and few name a code that exists.
func TestShareOfMisreadsThatALayoutHides(t *testing.T) {
	made, hidden := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		p := anyPayload().Draw(rt, "payload")
		for i := range p {
			for _, c := range Alphabet {
				if byte(c) == p[i] {
					continue
				}
				made++
				if r, err := Read(p[:i] + string(c) + p[i+1:]); err == nil {
					hidden++
					if r.Layout == "" {
						rt.Fatalf("an unflagged misread of %s passed", p)
					}
				}
			}
		}
	})
	share := float64(hidden) / float64(made)
	t.Logf("misreads taken for a code through a wrong layout, flagged: %.3f %%", 100*share)
	if share > 0.02 {
		t.Errorf("share %.4f", share)
	}
}

func TestReadOfAGoodPayloadAllocatesNothing(t *testing.T) {
	_, p := NextSerial(Lot, "0042")
	if p == "" {
		_, p = NextSerial(Lot, "000042")
	}
	if n := testing.AllocsPerRun(100, func() { _, _ = Read(p) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkRead(b *testing.B) {
	_, p := NextSerial(Lot, "000042")
	for b.Loop() {
		_, _ = Read(p)
	}
}

func FuzzRead(f *testing.F) {
	_, p := NextSerial(Job, "")
	for _, s := range []string{p, "12,5MTR", "]C0" + p, "&é\"'", "-", "]", "ñ1234567", "0x10", "1e9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, raw string) {
		r, err := Read(raw)
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without words")
			}
			return
		}
		if r.Measure == nil {
			if Check(r.Payload) != nil || r.Kind != Kind(r.Payload[0]) {
				t.Errorf("Read(%q) = %+v", raw, r)
			}
		} else if r.Measure.Value <= 0 || r.Measure.Value > MaxMeasure || r.Kind != 0 {
			t.Errorf("Read(%q) = %+v %+v", raw, r, r.Measure)
		}
		again, err := Read(r.Payload)
		if err != nil || again.Payload != r.Payload || again.Kind != r.Kind || again.Layout != "" {
			t.Errorf("Read is not stable: %q gave %+v, then %+v, %v", raw, r, again, err)
		}
	})
}
