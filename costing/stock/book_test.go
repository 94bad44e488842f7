package stock_test

import (
	"fmt"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/costing/stock"
)

type tb interface {
	Helper()
	Fatalf(format string, args ...any)
}

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const (
	unit = costing.Million
	day  = costing.Instant(86_400_000)
)

// newYard has a lot-costed and an average-costed item with two lots each, in
// which a hundred units cost 1000.00 and 50 cost 650.00.
func newYard(mode costing.WasteMode) *costing.Yard {
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Items: map[string]*costing.Item{
			"glass": {Key: "glass", StockUnit: costing.Kilogram, CostMethod: costing.ByLot, WasteMode: mode, WasteFactor: always(costing.Share(150_000))},
			"resin": {
				Key: "resin", StockUnit: costing.Kilogram, CostMethod: costing.ByAverage, WasteMode: mode, StandardPrice: 12 * unit,
				WasteFactor: always(costing.Share(150_000)),
			},
		},
		Lots: map[string]*costing.Lot{},
		Jobs: map[string]*costing.Job{},
	}
	for i, key := range []string{"G1", "G2", "R1", "R2"} {
		l := &costing.Lot{Key: key, Item: "glass", Quantity: 100 * unit, Cost: 1000_00, Landed: 50_00, Received: day}
		if key[0] == 'R' {
			l.Item = "resin"
		}
		if i%2 == 1 {
			l.Quantity, l.Cost, l.Received = 50*unit, 650_00, 2*day
		}
		y.Lots[key] = l
	}
	for _, key := range []string{"J1", "J2", "J3"} {
		y.Jobs[key] = &costing.Job{Key: key, Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}}
	}
	y.Jobs["J3"].Shares = []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}
	return y
}

// events reads "in G1, J1 4 G1, J1 back 1 G1, waste 0.5 J1 G1, scrap 1 G1, count 90 G1".
func events(t tb, y *costing.Yard, script string) []stock.Event {
	t.Helper()
	var list []stock.Event
	for i, part := range strings.Split(script, ",") {
		e := stock.Event{Source: fmt.Sprintf("e%d", i+1), Kind: stock.Issue, At: 3*day + costing.Instant(i)}
		for _, word := range strings.Fields(part) {
			switch {
			case y.Jobs[word] != nil:
				e.Job = word
			case y.Lots[word] != nil:
				e.Lot = word
			case word == "in":
				e.Kind = stock.Receipt
			case word == "back":
				e.Kind = stock.Return
			case word == "waste" || word == "scrap" || word == "count":
				e.Kind = stock.Kind(word)
			default:
				v, err := costing.ParseDecimal(word)
				if err != nil {
					t.Fatalf("%v", err)
				}
				e.Quantity = costing.Quantity(v)
			}
		}
		if e.Kind == stock.Receipt {
			e.Quantity = y.Lots[e.Lot].Quantity
		}
		list = append(list, e)
	}
	return list
}

func apply(t tb, y *costing.Yard, asOf costing.Instant, list []stock.Event) (*stock.Book, []stock.Charge) {
	t.Helper()
	y.Zone = zone
	c, b := stock.Costing{Yard: y, AsOf: asOf}, &stock.Book{}
	charges := make([]stock.Charge, len(list))
	for i, e := range list {
		var err error
		if charges[i], err = c.Apply(b, e); err != nil {
			t.Fatalf("%s: %v", e.Source, err)
		}
	}
	return b, charges
}

// What events draw and cost, and what is left: the charges' amounts (over the
// book marked +), the quantity that left the lots with each, and the worth.
func TestCharges(t *testing.T) {
	for _, c := range []struct {
		name           string
		mode           costing.WasteMode
		events         string
		amounts, drawn string
		worth          string
	}{
		{
			"a lot to the last gram", costing.Measured, "in G1, 33.333333 J1 G1, 33.333333 J1 G1, 33.333334 J1 G1",
			"1000.00 333.33 333.34 333.33", "0 33.333333 33.333333 33.333334", "0.00",
		},
		{
			"a return is a negative draw", costing.Measured, "in G1, 50 J1 G1, 20 back J1 G1, 70 J1 G1",
			"1000.00 500.00 -200.00 700.00", "0 50 -20 70", "0.00",
		},
		{"measured waste moves no stock", costing.Measured, "in G1, 50 J1 G1, 6 waste J1 G1", "1000.00 500.00 0.00", "0 50 0", "500.00"},
		{"scrap", costing.Measured, "in G1, 5 scrap G1", "1000.00 50.00", "0 5", "950.00"},
		{
			"more than the book: at the lot's unit cost, flagged", costing.Measured, "in G1, 100 J1 G1, 10 J1 G1, 12 back J1 G1, 3 J1 G1",
			"1000.00 1000.00 100.00+ -120.00 30.00+", "0 100 10 -12 3", "-10.00",
		},
		{"a count is one more draw", costing.Measured, "in G1, 50 J1 G1, 48 count G1, 52 count G1", "1000.00 500.00 20.00 -40.00", "0 50 2 -4", "520.00"},
		{"a count after too much was drawn", costing.Measured, "in G1, 103 J1 G1, 0 count G1", "1000.00 1030.00+ -30.00", "0 103 -3", "0.00"},

		{"net and factor", costing.Factored, "in G1, 40 J1 G1, 20 back J1 G1", "1000.00 460.00 -200.00", "0 46 -20", "740.00"},
		{"factored, a job's own", costing.Factored, "in G1, 40 J2 G1", "1000.00 500.00", "0 50", "500.00"},

		{
			"average over two lots, one of which had less", costing.Measured, "in R1, 40 J1 R1, in R2, 55 J1 R2, 55 J1 R1",
			"1000.00 400.00 650.00 625.00+ 625.00", "0 40 0 55 55", "0.00",
		},
		{"average, a return", costing.Measured, "in R1, 60 J1 R1, in R2, 9 back J1 R1", "1000.00 600.00 650.00 -105.00", "0 60 0 -9", "1155.00"},
		{
			"average, overdrawn", costing.Measured, "in R1, 90 J1 R1, 20 J1 R1, 5 J1 R1, in R2",
			"1000.00 900.00 200.00+ 50.00+ 650.00", "0 90 20 5 0", "500.00",
		},
		// Half a cent more than its share went with the first draw: the rest, the last there was, is the cheaper.
		{
			"average, the last unit cost", costing.Measured, "in R1, 0.0005 J1 R1, 99.9995 J1 R1, 10000 J1 R1",
			"1000.00 0.01 999.99 99999.50+", "0 0.0005 99.9995 10000", "-99999.50",
		},
		{"average, before its first receipt", costing.Measured, "10 J1 R1, in R1", "120.00+ 1000.00", "10 0", "880.00"},
	} {
		y := newYard(c.mode)
		factor := costing.Share(250_000)
		y.Jobs["J2"].WasteFactor = &factor
		list := events(t, y, c.events)
		b, charges := apply(t, y, 9*day, list)
		var amounts, drawn []string
		for _, ch := range charges {
			s := y.Currency.Format(ch.Amount)
			if ch.OverBook {
				s += "+"
			}
			amounts, drawn = append(amounts, s), append(drawn, ch.Drawn.String())
		}
		worth := y.Currency.Format((&stock.Costing{Yard: y, AsOf: 9 * day}).Worth(stock.UnitOf(y, list[0].Lot), b))
		if got := strings.Join(amounts, " "); got != c.amounts {
			t.Errorf("%s: amounts %s, want %s", c.name, got, c.amounts)
		}
		if got := strings.Join(drawn, " "); got != c.drawn {
			t.Errorf("%s: drawn %s, want %s", c.name, got, c.drawn)
		}
		if worth != c.worth {
			t.Errorf("%s: worth %s, want %s", c.name, worth, c.worth)
		}
	}
}

// A later invoice changes what the lot cost, and its issues are costed anew:
// as of its instant, not before.
func TestInvoice(t *testing.T) {
	y := newYard(costing.Measured)
	landed := costing.Money(20_00)
	y.Lots["G1"].Invoices = []costing.Invoice{{At: 5 * day, Price: 1100_00}, {At: 6 * day, Price: 1180_00, Landed: &landed}}
	list := events(t, y, "in G1, 50 J1 G1, 50 J1 G1")
	for at, want := range map[costing.Instant]costing.Money{4 * day: 500_00, 5 * day: 575_00, 6 * day: 600_00} {
		b, charges := apply(t, y, at, list)
		if charges[1].Amount != want || charges[2].Amount != want || charges[0].Amount != 2*want {
			t.Errorf("as of day %d: %d, want %d", at/day, charges[1].Amount, want)
		}
		if w := (&stock.Costing{Yard: y, AsOf: at}).Worth(stock.UnitOf(y, "G1"), b); w != 0 {
			t.Errorf("as of day %d: a spent lot is worth %d", at/day, w)
		}
	}
}

// A count's difference of a factored item is divided over the jobs that drew on
// the lot since its last count, in proportion to their net draw.
func TestTrueUp(t *testing.T) {
	y := newYard(costing.Factored)
	// Net 30, 10 and a job that gave all back; gross 46 left, 51 by the count.
	_, charges := apply(t, y, 9*day, events(t, y, "in G1, 30 J1 G1, 10 J2 G1, 6 J3 G1, 6 back J3 G1, 48.1 count G1, 3 J3 G1, 45 count G1, 44 count G1"))
	want := []stock.JobShare{{"J1", 3_750_000, 37_50}, {"J2", 1_250_000, 12_50}}
	ch := charges[5]
	if ch.Drawn != 5_000_000 || ch.Amount != 50_00 || fmt.Sprint(ch.Shares) != fmt.Sprint(want) {
		t.Errorf("the count drew %s for %d, shared %v; want %v", ch.Drawn, ch.Amount, ch.Shares, want)
	}
	if ch = charges[7]; fmt.Sprint(ch.Shares) != fmt.Sprint([]stock.JobShare{{"J3", -350_000, -3_50}}) {
		t.Errorf("the next count is shared %v: it asks for draws since the last", ch.Shares)
	}
	if ch = charges[8]; ch.Shares != nil || ch.Amount != 10_00 {
		t.Errorf("a count nobody drew before: %d shared %v, want 10.00 to stock differences", ch.Amount, ch.Shares)
	}
}

func TestStockPostings(t *testing.T) {
	y := newYard(costing.Factored)
	_, charges := apply(t, y, 9*day, events(t, y, "in G1, 3 J3 G1, 1 waste J1 G1, 2 scrap G1, 94.4 count G1, 94 count G1, 94 count G1"))
	var lines []string
	for i := range charges {
		ps, err := stock.Postings(y, &charges[i])
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range ps {
			lines = append(lines, strings.Join(strings.Fields(fmt.Sprintf("%s %s %s %s %s gross %s net %s waste %s: %s < %s",
				p.Source, p.Hull, p.Job, p.Stage, y.Currency.Format(p.Amount), p.Quantity, p.Net, p.Waste, p.Debit, p.Credit)), " "))
			if p.Detail != "glass" || p.Element != costing.Material || p.Date != 3 {
				t.Errorf("%+v bears the wrong item, element or date", p)
			}
		}
	}
	want := `e1 1000.00 gross 100 net 0 waste 0: stock < creditors
e2 H1 J3 lay 23.00 gross 2.3 net 2 waste 0: work in progress < stock
e2 H2 J3 lay 11.50 gross 1.15 net 1 waste 0: work in progress < stock
e3 H1 J1 lay 0.00 gross 0 net 0 waste 1: work in progress < stock
e4 20.00 gross 2 net 0 waste 0: stock losses < stock
e5 H1 J3 lay 1.00 gross 0.1 net 0 waste 0: work in progress < stock
e5 H2 J3 lay 0.50 gross 0.05 net 0 waste 0: work in progress < stock
e6 4.00 gross 0.4 net 0 waste 0: stock differences < stock`
	if got := strings.Join(lines, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// What came in is there to be drawn, and a count states what is left after the
// draws of its instant.
func TestEventOrder(t *testing.T) {
	sorted := []stock.Event{
		{At: 1, Kind: stock.Difference},
		{At: 2, Kind: stock.Receipt},
		{At: 2, Kind: stock.Issue, Station: "a", N: 2},
		{At: 2, Kind: stock.Return, Station: "a", N: 10},
		{At: 2, Kind: stock.Issue, Station: "b", N: 1},
		{At: 2, Kind: stock.Difference},
		{At: 3},
	}
	for i, a := range sorted {
		for j, b := range sorted {
			if got := stock.Compare(a, b); (got < 0) != (i < j) || (got > 0) != (i > j) {
				t.Errorf("Compare(%d, %d) = %d", i, j, got)
			}
		}
	}
}
