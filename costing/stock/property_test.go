package stock_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/stock"
)

var zone = time.UTC

func anyYard(t *rapid.T) *costing.Yard {
	y := newYard(rapid.SampledFrom([]costing.WasteMode{costing.Measured, costing.Factored}).Draw(t, "mode"))
	for _, key := range []string{"G1", "G2", "R1", "R2"} {
		y.Lots[key].Quantity = costing.Quantity(rapid.Int64Range(1, 500*unit).Draw(t, "quantity of "+key))
		y.Lots[key].Cost = costing.Money(rapid.Int64Range(0, 1_000_000_00).Draw(t, "cost of "+key))
	}
	return y
}

// anyEvents draws what may happen to lots in any order, too much and before
// its receipt too.
func anyEvents(y *costing.Yard, lots ...string) *rapid.Generator[[]stock.Event] {
	return rapid.Custom(func(t *rapid.T) []stock.Event {
		n := rapid.IntRange(0, 25).Draw(t, "events")
		list := make([]stock.Event, 0, n+len(lots))
		for _, l := range lots {
			e := stock.Received(y.Lots[l])
			e.At = 3 * day
			list = append(list, e)
		}
		for range n {
			e := stock.Event{
				Kind:     rapid.SampledFrom([]stock.Kind{stock.Issue, stock.Issue, stock.Issue, stock.Return, stock.Waste, stock.Scrap, stock.Difference}).Draw(t, "kind"),
				Lot:      rapid.SampledFrom(lots).Draw(t, "lot"),
				Quantity: costing.Quantity(rapid.Int64Range(1, 60*unit).Draw(t, "quantity")),
				At:       3 * day,
			}
			if e.Kind != stock.Scrap && e.Kind != stock.Difference {
				e.Job = rapid.SampledFrom([]string{"J1", "J2", "J3"}).Draw(t, "job")
			}
			list = append(list, e)
		}
		list = rapid.Permutation(list).Draw(t, "order")
		for i := range list {
			list[i].Source, list[i].N = fmt.Sprint("e", i), int64(i)
		}
		return list
	})
}

// totals posts charges, and holds each charge's postings to it.
func totals(t *rapid.T, y *costing.Yard, charges []stock.Charge) *costing.Totals {
	sum := costing.NewTotals()
	for i := range charges {
		ps, err := stock.Postings(y, &charges[i])
		if err != nil {
			t.Fatal(err)
		}
		if err := costing.CheckBalance(ps); err != nil {
			t.Fatal(err)
		}
		var amount costing.Money
		var drawn costing.Quantity
		for j := range ps {
			sum.Add(&ps[j])
			amount += ps[j].Amount
			drawn += ps[j].Quantity
		}
		if len(ps) == 0 && (charges[i].Kind == stock.Cut || y.Lots[charges[i].Lot].Parent != "") {
			continue // from stock to stock
		}
		if amount != charges[i].Amount || charges[i].Kind != stock.Receipt && drawn != charges[i].Drawn {
			t.Fatalf("%+v is posted as %+v", charges[i], ps)
		}
	}
	var balance costing.Money
	for _, m := range sum.Ledger {
		balance += m
	}
	if balance != 0 {
		t.Fatalf("the ledger is out of balance by %d", balance)
	}
	return sum
}

// Whatever was drawn, returned, scrapped and counted: once the lot is spent,
// its draws are its cost, to the cent; before, each running total is the exact
// one rounded.
func TestSpentLotCostsWhatItCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		lot := y.Lots["G1"]
		list := anyEvents(y, "G1").Draw(t, "events")
		_, charges := apply(t, y, 9*day, list)
		var drawn costing.Quantity
		var sum costing.Money
		for _, ch := range charges {
			if ch.Kind == stock.Receipt {
				continue
			}
			drawn += ch.Drawn
			sum += ch.Amount
			exact := new(big.Rat).Mul(big.NewRat(int64(lot.Cost), 1), big.NewRat(int64(drawn), int64(lot.Quantity)))
			if want, _ := costing.RoundRat(exact); int64(sum) != want {
				t.Fatalf("%s drawn cost %d, want %s", drawn, sum, exact)
			}
		}
		rest := stock.Event{Source: "rest", Kind: stock.Scrap, At: 4 * day, Lot: "G1", Quantity: lot.Quantity - drawn}
		b, charges := apply(t, y, 9*day, append(list, rest))
		if last := charges[len(charges)-1]; sum+last.Amount != lot.Cost {
			t.Fatalf("all of a lot of %d cost %d", lot.Cost, sum+last.Amount)
		}
		if w := (&stock.Costing{Yard: y, AsOf: 9 * day}).Worth(stock.UnitOf(y, "G1"), b); w != 0 {
			t.Fatalf("a spent lot is worth %d", w)
		}
	})
}

// Value in is value out and value left, to the cent, and the books' quantity
// is what came in less what went: for a lot and for a pool of two.
func TestStockIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		lots := rapid.SampledFrom([][]string{{"G1"}, {"R1", "R2"}}).Draw(t, "unit")
		b, charges := apply(t, y, 9*day, anyEvents(y, lots...).Draw(t, "events"))
		sum := totals(t, y, charges)
		worth := (&stock.Costing{Yard: y, AsOf: 9 * day}).Worth(stock.UnitOf(y, lots[0]), b)
		if got := sum.Ledger[costing.Ledger{Account: costing.Stock, Period: 197001}]; got != worth {
			t.Fatalf("the ledger holds %d of stock, the book %d", got, worth)
		}
		var in, closing costing.Quantity
		for _, l := range lots {
			in += y.Lots[l].Quantity
			closing += b.Lots[l].Closing()
		}
		for _, ch := range charges {
			in -= ch.Drawn
		}
		if in != closing || len(lots) == 2 && b.Pool != in {
			t.Fatalf("%s should be there; the shelves hold %s, the pool %s", in, closing, b.Pool)
		}
	})
}

// An average-costed draw is value × q / quantity, rounded by itself; a pool
// drawn to nought is worth nought.
func TestPoolIsSpent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		list := anyEvents(y, "R1", "R2").Draw(t, "events")
		b, _ := apply(t, y, 9*day, list)
		if b.Pool <= 0 {
			return
		}
		c := stock.Costing{Yard: y, AsOf: 9 * day}
		part := costing.Quantity(rapid.Int64Range(0, int64(b.Pool)).Draw(t, "part"))
		exact := new(big.Rat).Mul(big.NewRat(int64(b.Value), 1), big.NewRat(int64(part), int64(b.Pool)))
		want, _ := costing.RoundRat(exact)
		for i, q := range []costing.Quantity{part, b.Pool - part} {
			ch, err := c.Apply(b, stock.Event{Kind: stock.Scrap, At: 4 * day, Lot: "R1", Quantity: q})
			if err != nil || i == 0 && int64(ch.Amount) != want {
				t.Fatalf("%s of the pool cost %d, want %s: %v", q, ch.Amount, exact, err)
			}
		}
		if b.Pool != 0 || b.Value != 0 {
			t.Fatalf("an empty pool of %s is worth %d", b.Pool, b.Value)
		}
	})
}

// A count's shares add up to it and are in proportion to the net draws, which
// are counted afresh after it.
func TestTrueUpAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		_, charges := apply(t, y, 9*day, anyEvents(y, "G1").Draw(t, "events"))
		net := map[string]costing.Quantity{}
		for _, ch := range charges {
			if ch.Job != "" {
				net[ch.Job] += ch.Net
			}
			if ch.Kind != stock.Difference {
				continue
			}
			if len(ch.Shares) > 0 && y.Items["glass"].WasteMode != costing.Factored {
				t.Fatalf("%+v shares a measured item's difference", ch)
			}
			var amount costing.Money
			var drawn, all costing.Quantity
			for _, s := range ch.Shares {
				amount += s.Amount
				drawn += s.Quantity
				all += net[s.Job]
			}
			if len(ch.Shares) > 0 && (amount != ch.Amount || drawn != ch.Drawn) {
				t.Fatalf("%s for %d is shared as %+v", ch.Drawn, ch.Amount, ch.Shares)
			}
			for _, s := range ch.Shares {
				fair := new(big.Rat).Mul(big.NewRat(int64(ch.Amount), 1), big.NewRat(int64(net[s.Job]), int64(all)))
				if off := fair.Sub(fair, big.NewRat(int64(s.Amount), 1)); off.Abs(off).Cmp(big.NewRat(1, 1)) >= 0 {
					t.Fatalf("%s drew %s net of %s and bears %d of %d", s.Job, net[s.Job], all, s.Amount, ch.Amount)
				}
			}
			clear(net)
		}
	})
}

// A book put into JSON between two events goes on as if it had not been.
func TestBookJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		y.Zone = zone
		lots := rapid.SampledFrom([][]string{{"G1"}, {"R1", "R2"}}).Draw(t, "unit")
		c, b, d := stock.Costing{Yard: y, AsOf: 9 * day}, &stock.Book{}, &stock.Book{}
		for _, e := range anyEvents(y, lots...).Draw(t, "events") {
			text, err := json.Marshal(d)
			if err != nil {
				t.Fatal(err)
			}
			d = &stock.Book{}
			if err := json.Unmarshal(text, d); err != nil {
				t.Fatal(err)
			}
			want, err1 := c.Apply(b, e)
			got, err2 := c.Apply(d, e)
			if err1 != nil || err2 != nil || fmt.Sprint(got) != fmt.Sprint(want) || !b.Equal(d) || !slices.Equal(got.Shares, want.Shares) {
				t.Fatalf("from %s: %+v, want %+v", text, got, want)
			}
		}
	})
}
