package sim

import (
	"cmp"
	"slices"
	"testing"

	"hulltally/costing"
)

// TestTruthIsPossible: nobody works in two places at once or for days on end,
// and no lot gives more than came in.
func TestTruthIsPossible(t *testing.T) {
	w := Generate(Default())
	work, left := map[string][]Fact{}, map[string]int64{}
	var hours, net, waste, drawn int64
	for f := range w.Truth() {
		switch f.Kind {
		case "work":
			work[f.Worker] = append(work[f.Worker], f)
			hours += int64(f.To-f.From) / 3_600_000
		case "draw":
			drawn, net, waste = drawn+int64(f.Left), net+int64(f.Net), waste+int64(f.Waste)
			fallthrough
		default:
			left[f.Lot] += int64(f.Left)
		}
	}
	for who, facts := range work {
		slices.SortFunc(facts, func(a, b Fact) int { return cmp.Compare(a.From, b.From) })
		day := map[costing.Date]costing.Instant{}
		for i, f := range facts {
			day[costing.DateOf(f.From, w.zone)] += f.To - f.From
			if i > 0 && f.From < facts[i-1].To {
				t.Errorf("%s is in two places at %s", who, f.From)
			}
		}
		for d, ms := range day {
			if ms > 12*3_600_000 {
				t.Errorf("%s works %d h on %s", who, ms/3_600_000, d)
			}
		}
	}
	for _, l := range w.Lots {
		if left[l.Key] > int64(l.Quantity)*1004/1000 || left[l.Key] < 0 {
			t.Errorf("lot %s of %s gave %s", l.Key, l.Quantity, costing.Quantity(left[l.Key]))
		}
	}
	if net+waste < drawn*94/100 || net+waste > drawn*101/100 {
		t.Errorf("drawn %d, of it %d in parts and %d waste", drawn/million, net/million, waste/million)
	}
	if people := int64(w.Config.People); hours < people*800 || hours > people*1150 {
		t.Errorf("%d hours of %d people in half a year", hours, people)
	}
}

// TestReadsArriveAsTheyWould: each station counts in time order, ids are
// unique, some reads come late, and there are about as many as a yard sends.
func TestReadsArriveAsTheyWould(t *testing.T) {
	w := Generate(Default())
	last, ids := map[string]Read{}, map[string]bool{}
	n, late := 0, 0
	var newest costing.Instant
	for r := range w.Reads() {
		if l, ok := last[r.Station]; ok && (r.N != l.N+1 || r.At < l.At) {
			t.Fatalf("station %s sent %d at %s after %d at %s", r.Station, r.N, r.At, l.N, l.At)
		}
		if ids[r.ID] {
			t.Fatalf("id %s twice", r.ID)
		}
		last[r.Station], ids[r.ID] = r, true
		if r.At+600_000 < newest {
			late++
		}
		newest, n = max(newest, r.At), n+1
	}
	t.Logf("%d reads, %d of them late", n, late)
	if n < 25_000 || n > 36_000 || late < 50 || late > n/20 {
		t.Errorf("%d reads, %d late", n, late)
	}
}

// TestMishapsComeAtTheirRates counts what can be seen in the files.
func TestMishapsComeAtTheirRates(t *testing.T) {
	w := Generate(Default())
	days := map[string]map[costing.Date]bool{}
	facts, unscanned, draws, scraps, returns := 0, 0, 0, 0, 0
	for f := range w.Truth() {
		switch f.Kind {
		case "work":
			d := costing.DateOf(f.From, w.zone)
			if days[f.Worker] == nil {
				days[f.Worker] = map[costing.Date]bool{}
			}
			if !days[f.Worker][d] {
				days[f.Worker][d] = true
				facts++
			}
		case "draw":
			draws++
			if !f.Scanned {
				unscanned++
			}
		case "return":
			returns++
		case "scrap":
			scraps++
		}
	}
	corrected := map[string]int{}
	for _, c := range w.Corrections {
		corrected[c.Why]++
	}
	bounces, undos, n := 0, 0, 0
	before := map[string]Read{}
	for r := range w.Reads() {
		n++
		if b := before[r.Station]; b.Payload == r.Payload && r.At-b.At <= 2000 {
			bounces++
		}
		if r.Payload == w.cards.undo {
			undos++
		}
		before[r.Station] = r
	}
	rates := w.Config.Rates
	near(t, "clock-offs added", corrected["forgot to clock off"], facts*rates.ForgottenOff*rates.OffCorrected/1_000_000)
	near(t, "clock-ons added", corrected["forgot to clock on"], facts*rates.ForgottenOn*rates.OnCorrected/1_000_000)
	near(t, "bounces", bounces, n*rates.Bounce/1000)
	near(t, "unscanned draws", unscanned, draws*rates.ForgottenIssue/1000)
	if undos == 0 || scraps == 0 || returns == 0 || corrected["scanned the wrong card"] == 0 {
		t.Errorf("%d undos, %d scraps, %d returns, %d wrong cards put right: each should happen", undos, scraps, returns, corrected["scanned the wrong card"])
	}
}

// near allows half and twice of what was expected: some occasions do not count.
func near(t *testing.T, what string, got, want int) {
	t.Helper()
	if got*2 < want || got > want*2 {
		t.Errorf("%d %s, expected about %d", got, what, want)
	}
}
