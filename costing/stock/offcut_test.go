package stock_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
)

// cut adds an offcut to a yard.
func cut(y *costing.Yard, key, parent, job string, at costing.Instant, q costing.Quantity) *costing.Lot {
	p := y.Lots[parent]
	l := &costing.Lot{Key: key, Item: p.Item, Parent: parent, FromJob: job, Received: at, Quantity: q}
	y.Lots[key] = l
	p.Offcuts = append(p.Offcuts, key)
	return l
}

// books derives a yard's books from its recorded events and some draws.
func books(t tb, y *costing.Yard, draws []stock.Event) (map[stock.Unit]*stock.Book, []stock.Charge, *stock.Costing) {
	t.Helper()
	y.Zone = zone
	units := recost.Units(y, nil, 9*day)
	for _, e := range draws {
		u := stock.UnitOf(y, e.Lot)
		units[u] = append(units[u], e)
	}
	var order []stock.Unit
	for u, events := range units {
		order = append(order, u)
		slices.SortFunc(events, stock.Compare)
	}
	stock.InOrder(y, order)
	c := &stock.Costing{Yard: y, AsOf: 9 * day}
	found := map[stock.Unit]*stock.Book{}
	var charges []stock.Charge
	for _, u := range order {
		b := &stock.Book{}
		found[u] = b
		for _, e := range units[u] {
			ch, err := c.Apply(b, e)
			if err != nil {
				t.Fatalf("%s: %v", e.Source, err)
			}
			charges = append(charges, ch)
		}
		c.Note(b)
	}
	return found, charges, c
}

// An offcut takes its share of the parent's cost, a piece of it its share of
// that; what a job left over is taken back from it. A later invoice reaches
// them all.
func TestOffcuts(t *testing.T) {
	y := newYard(costing.Measured)
	cut(y, "O1", "G1", "J1", 4*day, 25*unit) // left over from J1's forty
	cut(y, "O2", "O1", "", 5*day, 10*unit)
	draws := []stock.Event{
		{Source: "a", Kind: stock.Issue, At: 3 * day, Station: "S", Lot: "G1", Job: "J1", Quantity: 40 * unit},
		{Source: "b", Kind: stock.Issue, At: 6 * day, Station: "S", Lot: "O2", Job: "J2", Quantity: 4 * unit},
	}
	worth := func() (list []costing.Money) {
		found, _, c := books(t, y, draws)
		for _, lot := range []string{"G1", "O1", "O2"} {
			list = append(list, c.Worth(stock.UnitOf(y, lot), found[stock.UnitOf(y, lot)]))
		}
		return list
	}
	// A hundred cost 1000.00: forty went, 25 of them came back and are O1, ten of these O2.
	require.Equal(t, []costing.Money{600_00, 150_00, 60_00}, worth())
	y.Lots["G1"].Invoices = []costing.Invoice{{At: 7 * day, Price: 1950_00}} // and 50.00 landed, as before
	require.Equal(t, []costing.Money{1200_00, 300_00, 120_00}, worth())
}

// Value in is value out and value left, to the cent, and so is the quantity,
// however pieces are cut from pieces, drawn, counted and invoiced, and in
// whatever order it is heard of.
func TestOffcutsConserve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		root := rapid.SampledFrom([]string{"G1", "R1"}).Draw(t, "root")
		family := []string{root}
		var draws []stock.Event
		most := 300
		if testing.Short() {
			most = 60
		}
		for i := range rapid.IntRange(1, most).Draw(t, "events") {
			lot := rapid.SampledFrom(family).Draw(t, "lot")
			at := y.Lots[lot].Received + costing.Instant(rapid.Int64Range(0, 5_000_000).Draw(t, "at"))
			q := costing.Quantity(rapid.Int64Range(1, 9*unit).Draw(t, "quantity"))
			switch rapid.IntRange(0, 6).Draw(t, "what") {
			case 0:
				key := fmt.Sprintf("O%03d", i)
				cut(y, key, lot, rapid.SampledFrom([]string{"", "J1", "J3"}).Draw(t, "from"), at, q)
				family = append(family, key)
			case 1:
				y.Lots[lot].Counts = append(y.Lots[lot].Counts, costing.Count{At: at + costing.Instant(i), Quantity: q})
			case 2:
				y.Lots[root].Invoices = []costing.Invoice{{At: 5 * day, Price: costing.Money(q / 10_000)}}
			default:
				kind := rapid.SampledFrom([]stock.Kind{stock.Issue, stock.Issue, stock.Return, stock.Scrap}).Draw(t, "kind")
				e := stock.Event{Source: fmt.Sprint("e", i), Kind: kind, At: at, Station: "S", N: int64(i), Lot: lot, Quantity: q}
				if kind != stock.Scrap {
					e.Job = rapid.SampledFrom([]string{"J1", "J2", "J3"}).Draw(t, "job")
				}
				draws = append(draws, e)
			}
		}
		found, charges, c := books(t, y, draws)
		sum := totals(t, y, charges)
		var worth costing.Money
		var closing, in costing.Quantity
		for u, b := range found {
			worth += c.Worth(u, b)
			for key, shelf := range b.Lots {
				closing += shelf.Closing()
				if y.Lots[key].Parent == "" {
					in += shelf.Received
				}
			}
		}
		if held := sum.Ledger[costing.Ledger{Account: costing.Stock, Period: 197001}]; held != worth {
			t.Fatalf("the ledger holds %d of stock, the books %d", held, worth)
		}
		for i := range charges {
			if k := charges[i].Kind; k != stock.Receipt && k != stock.Cut {
				in -= charges[i].Drawn
			}
		}
		if in != closing {
			t.Fatalf("%s should be there, the shelves hold %s", in, closing)
		}
		again, _, _ := books(t, y, rapid.Permutation(draws).Draw(t, "arrival"))
		for u, b := range found {
			if !b.Equal(again[u]) {
				t.Fatalf("%v depends on the order of arrival", u)
			}
		}
	})
}
