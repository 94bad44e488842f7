package clock_test

import (
	"encoding/json"
	"reflect"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// words are the payloads that a station may hear, the senseless ones too.
var words = []string{
	"W1", "W2", "W9", "Wx", "C1", "Cx", "J1", "J3", "Jx", "L1", "L2", "L3", "Lx", "clean", "off", "done", "p25", "p50", "return",
	"waste", "scrap", "undo", "cancel", "0", "4", "2.5", "10MTR", "1LTR", "3C62", "-4", "9223372036854.775807LTR", "?",
}

// gaps are milliseconds between reads, about the limits that matter.
var gaps = []int64{0, 1, 1999, 2000, 2001, 29_999, 30_000, 59_999, 60_000, 60_001, 4_000_000}

func anyReads(station string) *rapid.Generator[[]clock.Read] {
	return rapid.Custom(func(t *rapid.T) []clock.Read {
		at := monday.At(0, time.UTC)
		heard := rapid.SliceOfN(rapid.SampledFrom(words), 1, 30).Draw(t, "words")
		reads := make([]clock.Read, len(heard))
		for i, w := range heard {
			at += costing.Instant(rapid.SampledFrom(gaps).Draw(t, "gap"))
			reads[i] = clock.Read{ID: "r" + strconv.Itoa(i), Station: station, N: int64(i), At: at, Payload: w, Token: token(w)}
		}
		return reads
	})
}

// hearAll plays reads and checks each answer against what the rules say of
// every answer, whatever was heard.
func hearAll(t tb, y *costing.Yard, reads []clock.Read) []clock.Result {
	t.Helper()
	var c clock.Context
	results := make([]clock.Result, len(reads))
	done := map[string]bool{}
	for i := range reads {
		r := &reads[i]
		before := c
		results[i] = c.Hear(y, r)
		res := results[i]
		if c.LastAt != r.At || c.LastPayload != r.Payload || !c.Heard {
			t.Fatalf("read %d is not remembered: %+v", i, c)
		}
		gone := before.Heard && r.At-before.LastAt >= 30_000
		switch res.Outcome {
		case clock.Refused, clock.Ignored:
			want := before
			if gone || res.Code == "may_not_sign" {
				want = clock.Context{LastEntry: before.LastEntry, EntryAt: before.EntryAt}
			}
			if r.At-before.EntryAt > 60_000 { // can't be undone any more
				want.LastEntry, want.EntryAt = "", 0
			}
			want.Heard, want.LastAt, want.LastPayload = true, r.At, r.Payload
			if c != want {
				t.Fatalf("read %d, %s: %s left the context %+v, want %+v", i, r.Payload, res.Code, c, want)
			}
			if res.Entry != nil || res.Voids != "" {
				t.Fatalf("read %d, %s: %s did something", i, r.Payload, res.Code)
			}
		case clock.Waiting:
			if len(res.Needs) == 0 || res.Entry != nil {
				t.Fatalf("read %d, %s: waits for nothing or did something: %+v", i, r.Payload, res)
			}
		case clock.DidIt:
			if res.Entry == nil && res.Voids == "" && res.Code != "cancelled" {
				t.Fatalf("read %d, %s: nothing was done: %+v", i, r.Payload, res)
			}
		default:
			t.Fatalf("read %d has no outcome", i)
		}
		if e := res.Entry; e != nil {
			if e.ID != r.ID || e.At != r.At || c.LastEntry != e.ID {
				t.Fatalf("read %d: entry %+v isn't its own", i, e)
			}
			if stored := e.Kind != clock.ClockOn && e.Kind != clock.ClockOff && e.Kind != clock.SignOff; stored && (e.Quantity <= 0 || e.Lot == "") {
				t.Fatalf("read %d: %s of nothing", i, e.Kind)
			}
			done[e.ID] = true
		}
		if res.Voids != "" {
			if !done[res.Voids] || r.At-before.EntryAt > 60_000 {
				t.Fatalf("read %d voids %s, which it can't", i, res.Voids)
			}
			delete(done, res.Voids)
		}
	}
	return results
}

func TestHearAnything(t *testing.T) {
	y := newYard(t)
	rapid.Check(t, func(t *rapid.T) {
		hearAll(t, y, anyReads(rapid.SampledFrom([]string{"clock", "stores"}).Draw(t, "station")).Draw(t, "reads"))
	})
}

// A context put into JSON between two reads goes on as if it had not been.
func TestContextJSON(t *testing.T) {
	y := newYard(t)
	rapid.Check(t, func(t *rapid.T) {
		var c clock.Context
		for _, r := range anyReads("clock").Draw(t, "reads") {
			text, err := json.Marshal(c)
			if err != nil {
				t.Fatal(err)
			}
			var d clock.Context
			if err := json.Unmarshal(text, &d); err != nil {
				t.Fatal(err)
			}
			if want, got := c.Hear(y, &r), d.Hear(y, &r); !reflect.DeepEqual(got, want) || c != d {
				t.Fatalf("from %s: %+v and %+v, want %+v and %+v", text, got, d, want, c)
			}
		}
	})
}

// FuzzHear takes bytes in pairs: a word and a gap.
func FuzzHear(f *testing.F) {
	f.Add([]byte{0, 0, 6, 3, 9, 3, 24, 3}, true)
	f.Add([]byte{6, 3, 15, 3, 2, 3, 21, 8}, true)
	f.Add([]byte{6, 3, 20, 3, 9, 3, 25, 3, 21, 9}, false)
	y := newYard(f)
	f.Fuzz(func(t *testing.T, data []byte, clocks bool) {
		station := "stores"
		if clocks {
			station = "clock"
		}
		at := monday.At(0, y.Zone)
		var reads []clock.Read
		for i := 0; i+1 < len(data); i += 2 {
			w := words[int(data[i])%len(words)]
			at += costing.Instant(gaps[int(data[i+1])%len(gaps)])
			reads = append(reads, clock.Read{ID: "r" + strconv.Itoa(i), Station: station, N: int64(i), At: at, Payload: w, Token: token(w)})
		}
		hearAll(t, y, reads)
	})
}
