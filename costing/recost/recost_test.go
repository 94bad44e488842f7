package recost_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const unit = costing.Million

var monday = costing.NewDate(2026, time.March, 23) // the clocks change on Sunday

func newYard(t interface{ Fatal(...any) }) *costing.Yard {
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2}, Zone: lisbon,
		Workers: map[string]*costing.Worker{}, Indirects: map[string]*costing.Indirect{"clean": {Key: "clean"}},
		Crews:  map[string]*costing.Crew{"C1": {Key: "C1", Members: []string{"W1", "W2"}}},
		Shifts: map[string]*costing.Shift{"day": {Key: "day", Hours: map[int]costing.Span{1: {Start: 420, End: 960}, 3: {Start: 1320, End: 360}}}},
		Stages: map[string]*costing.Stage{"lay": {Key: "lay", Absorption: always[costing.Price](7_770_000)}},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
			"J2": {Key: "J2", Stage: "lay", Purpose: costing.Rework, Rush: true, Shares: []costing.ShareOf{{Hull: "H1", Weight: 3}, {Hull: "H2", Weight: 4}}},
		},
		Items: map[string]*costing.Item{"glass": {Key: "glass", StockUnit: costing.Kilogram, CostMethod: costing.ByLot}},
		Lots: map[string]*costing.Lot{"G1": {
			Key: "G1", Item: "glass", Quantity: 100 * unit, Cost: 999_99, Received: monday.At(0, lisbon),
			Counts: []costing.Count{{At: (monday + 5).At(0, lisbon), Quantity: 20 * unit}},
		}},
		Bought: []costing.Bought{{Document: "B1", Date: monday + 1, Hull: "H1", Stage: "rig", Description: "mast", Purpose: costing.Build, Amount: 5000_00}},
	}
	y.Shifts["day"].Breaks = []costing.Break{{Span: costing.Span{Start: 720, End: 750}}}
	y.Policy.OnCost = always(costing.Share(123_456))
	for i, key := range []string{"W1", "W2"} {
		y.Workers[key] = &costing.Worker{Key: key, Grade: "laminator", Shift: "day", Crew: "C1", Rates: always(costing.Price(17_330_000 + i))}
	}
	return y
}

// anyEntries draws what two workers and their crew may do in two weeks,
// forgotten clock-offs and issues among them.
func anyEntries(y *costing.Yard) *rapid.Generator[[]*clock.Entry] {
	return rapid.Custom(func(t *rapid.T) []*clock.Entry {
		n := rapid.IntRange(1, 30).Draw(t, "entries")
		list := make([]*clock.Entry, n)
		for i := range list {
			// Instants collide often: order is then by station and n.
			at := monday.At(0, y.Zone) + costing.Instant(rapid.IntRange(0, 14*24*2).Draw(t, "half hour"))*1_800_000
			e := &clock.Entry{
				ID: fmt.Sprintf("e%02d", i), At: at, N: int64(rapid.IntRange(0, 3).Draw(t, "n")),
				Station: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "station"), Kind: clock.ClockOn,
			}
			switch rapid.SampledFrom([]string{"W1", "W2", "C1"}).Draw(t, "who") {
			case "W1":
				e.Worker = "W1"
			case "W2":
				e.Worker = "W2"
			case "C1":
				e.Crew = "C1"
			}
			switch what := rapid.SampledFrom([]string{"J1", "J2", "clean", "off", "issue", "progress"}).Draw(t, "what"); what {
			case "off":
				e.Kind = clock.ClockOff
			case "clean":
				e.Indirect = what
			case "issue":
				e.Kind, e.Job, e.Lot, e.Quantity = clock.Issue, "J2", "G1", costing.Quantity(rapid.Int64Range(1, 9*unit).Draw(t, "quantity"))
			case "progress":
				e.Kind, e.Job, e.Percent = clock.SignOff, "J1", rapid.SampledFrom([]int{25, 50, 75, 100}).Draw(t, "percent")
			default:
				e.Job = what
			}
			if rapid.IntRange(0, 9).Draw(t, "undone") == 0 {
				e.VoidedBy = "u"
			}
			list[i] = e
		}
		return list
	})
}

// week is what is kept of a worker's week of entries.
type week struct {
	checkpoint recost.Checkpoint
	pieces     []clock.Piece
}

// arrive takes an entry into a worker's sorted list and folds again from the
// last checkpoint that lies wholly before it.
func arrive(t *rapid.T, y *costing.Yard, w *costing.Worker, list []*clock.Entry, weeks []week, e *clock.Entry) ([]*clock.Entry, []week) {
	i, _ := slices.BinarySearchFunc(list, e, clock.Compare)
	list = slices.Insert(list, i, e)
	kept := 0
	var from clock.Fold
	for kept < len(weeks) && weeks[kept].checkpoint.Last.Before(recost.KeyOf(e)) && weeks[kept].checkpoint.Week < costing.DateOf(e.At, y.Zone).Monday() {
		from = weeks[kept].checkpoint.Fold
		kept++
	}
	weeks = weeks[:kept:kept]
	rest := slices.DeleteFunc(slices.Clone(list), func(x *clock.Entry) bool {
		return kept > 0 && !weeks[kept-1].checkpoint.Last.Before(recost.KeyOf(x))
	})
	err := recost.Labour(y, w, from, rest, func(c recost.Checkpoint, pieces []clock.Piece) (bool, error) {
		weeks = append(weeks, week{c, slices.Clone(pieces)})
		return true, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return list, weeks
}

// Whatever the order of arrival, extending a worker's kept fold step by step
// gives what folding everything anew gives. A crew's entry is weighed anew
// whenever an earlier entry of a member turns up.
func TestAnyOrderOfArrival(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := newYard(t)
		entries := anyEntries(y).Draw(t, "entries")
		lists, kept := map[string][]*clock.Entry{}, map[string][]week{}
		for _, e := range rapid.Permutation(entries).Draw(t, "arrival") {
			for worker, one := range recost.ByWorker(y, []*clock.Entry{e}) {
				lists[worker], kept[worker] = arrive(t, y, y.Workers[worker], lists[worker], kept[worker], one[0])
			}
		}
		anew := recost.ByWorker(y, entries)
		for worker, list := range anew {
			if !slices.Equal(list, lists[worker]) {
				t.Fatalf("%s: entries in another order", worker)
			}
			var want, got []clock.Piece
			cw := clock.NewClockwork(y, func(p *clock.Piece) error {
				want = append(want, *p)
				return nil
			})
			var f clock.Fold
			for _, e := range list {
				if err := cw.Apply(&f, y.Workers[worker], e); err != nil {
					t.Fatal(err)
				}
			}
			for _, w := range kept[worker] {
				got = append(got, w.pieces...)
			}
			if !slices.Equal(got, want) {
				t.Fatalf("%s: %+v, want %+v", worker, got, want)
			}
		}
		if len(anew) != len(kept) {
			t.Fatalf("%d workers, want %d", len(kept), len(anew))
		}
	})
}

// Everything derived is the same for any order of the facts; its books balance
// and tie to the pieces and to the stock.
func TestEverythingTies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := newYard(t)
		facts := recost.Facts{Yard: y, Entries: anyEntries(y).Draw(t, "entries"), AsOf: (monday + 10).At(0, y.Zone)}
		var amount costing.Money
		b, err := recost.Everything(facts, func(p *costing.Posting) error {
			amount += p.Amount
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		shuffled := facts
		shuffled.Entries = rapid.Permutation(facts.Entries).Draw(t, "another order")
		c, err := recost.Everything(shuffled, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !maps.Equal(b.Totals.Cells, c.Totals.Cells) || !maps.Equal(b.Totals.Fine, c.Totals.Fine) || !maps.Equal(b.Totals.Ledger, c.Totals.Ledger) ||
			!slices.Equal(b.Pieces, c.Pieces) || !maps.Equal(b.Progress, c.Progress) || b.Postings != c.Postings {
			t.Fatal("another order of the facts gives other books")
		}

		account := map[costing.Account]costing.Money{}
		var balance, paid, overhead costing.Money
		for l, m := range b.Totals.Ledger {
			account[l.Account] += m
			balance += m
			if l.Account.IsOverhead() {
				overhead += m
			}
		}
		var seconds, booked int64
		for _, p := range b.Pieces {
			paid += p.Base + p.Premium + p.OnCost + p.PremiumOnCost
			if p.Job != "" {
				seconds += p.Seconds
			}
		}
		var cells costing.Money
		for cell, s := range b.Totals.Cells {
			booked += s.Seconds
			cells += s.Amount
			if s.Quantity != 0 || cell.Hull == "" {
				t.Fatalf("cell %+v holds %+v", cell, s)
			}
		}
		unit := stock.Unit{Item: "glass", Lot: "G1"}
		worth := (&stock.Costing{Yard: y, AsOf: facts.AsOf}).Worth(unit, b.Stock[unit])
		switch {
		case balance != 0:
			t.Fatalf("debits less credits are %d", balance)
		case paid != -account[costing.WagesPayable]-account[costing.OnCostsPayable]:
			t.Fatalf("the pieces pay %d, the ledger owes %v", paid, account)
		case seconds != booked:
			t.Fatalf("%d s on jobs, %d s in the cells", seconds, booked)
		case cells != account[costing.WorkInProgress]:
			t.Fatalf("the cells hold %d, work in progress %d", cells, account[costing.WorkInProgress])
		case worth != account[costing.Stock]:
			t.Fatalf("the lot is worth %d, the ledger says %d", worth, account[costing.Stock])
		case cells+overhead+account[costing.Stock]+account[costing.StockDifferences]+account[costing.StockLosses]+account[costing.OverheadAbsorbed]-paid+account[costing.Creditors] != 0:
			t.Fatalf("cost has gone: %v", account)
		}
	})
}

// As of an instant: what had not happened is left out, what was undone later
// still stands, what runs counts up to it.
func TestAsOf(t *testing.T) {
	y := newYard(t)
	at := func(hour int) costing.Instant { return monday.At(hour*60, y.Zone) }
	entries := []*clock.Entry{
		{ID: "1", At: at(7), Worker: "W1", Kind: clock.ClockOn, Job: "J1"},
		{ID: "2", At: at(8), Worker: "W1", Kind: clock.Issue, Job: "J1", Lot: "G1", Quantity: 10 * unit},
		{ID: "3", At: at(9), Worker: "W1", Kind: clock.ClockOn, Job: "J2", VoidedBy: "u", VoidedAt: at(9) + 30_000},
		{ID: "4", At: at(10), Worker: "W1", Kind: clock.ClockOff},
		{ID: "5", At: at(11), Worker: "W9", Kind: clock.SignOff, Job: "J1", Percent: 50},
		{ID: "6", At: at(12), Worker: "W9", Kind: clock.SignOff, Job: "J1", Percent: 25},
	}
	for _, c := range []struct {
		asOf     costing.Instant
		seconds  string
		drawn    costing.Quantity
		progress estimate.Progress
	}{
		{at(6), "map[]", 0, estimate.Progress{}},
		{at(7) + 60_000, "map[J1:60]", 0, estimate.Progress{}},
		{at(9) + 10_000, "map[J1:7200 J2:10]", 10 * unit, estimate.Progress{}},
		{at(9) + 30_000, "map[J1:7230]", 10 * unit, estimate.Progress{}},
		{at(11), "map[J1:10800]", 10 * unit, estimate.Progress{"J1": 50}},
		{at(12), "map[J1:10800]", 10 * unit, estimate.Progress{"J1": 25}},
	} {
		b, err := recost.Everything(recost.Facts{Yard: y, Entries: entries, AsOf: c.asOf}, nil)
		if err != nil {
			t.Fatal(err)
		}
		seconds := map[string]int64{}
		for _, p := range b.Pieces {
			seconds[p.Job] += p.Seconds
		}
		drawn := b.Stock[stock.Unit{Item: "glass", Lot: "G1"}].Drawn
		if fmt.Sprint(seconds) != c.seconds || drawn != c.drawn || !maps.Equal(b.Progress, c.progress) {
			t.Errorf("as of %s: %v, %s drawn, progress %v; want %s, %s, %v", c.asOf, seconds, drawn, b.Progress, c.seconds, c.drawn, c.progress)
		}
	}
}

// A late clock-off makes a crew's entry count for nothing for that member.
func TestLateEntryWeighsTheCrewAnew(t *testing.T) {
	y := newYard(t)
	at := func(hour int) costing.Instant { return monday.At(hour*60, y.Zone) }
	entries := []*clock.Entry{
		{ID: "1", At: at(7), Worker: "W1", Kind: clock.ClockOn, Job: "J1"},
		{ID: "2", At: at(7), Worker: "W2", Kind: clock.ClockOn, Job: "J1"},
		{ID: "3", At: at(9), Crew: "C1", Kind: clock.ClockOn, Job: "J2"},
		{ID: "4", At: at(11), Crew: "C1", Kind: clock.ClockOff},
	}
	late := &clock.Entry{ID: "5", At: at(8), Worker: "W2", Kind: clock.ClockOff}
	for _, c := range []struct {
		entries []*clock.Entry
		want    string
	}{
		{entries, "map[W1 J1:7200 W1 J2:7200 W2 J1:7200 W2 J2:7200]"},
		{append(entries, late), "map[W1 J1:7200 W1 J2:7200 W2 J1:3600]"},
	} {
		b, err := recost.Everything(recost.Facts{Yard: y, Entries: c.entries, AsOf: at(15)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		seconds := map[string]int64{}
		for _, p := range b.Pieces {
			seconds[p.Worker+" "+p.Job] += p.Seconds
		}
		if fmt.Sprint(seconds) != c.want {
			t.Errorf("%v, want %s", seconds, c.want)
		}
	}
}
