package costing_test

import (
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/costing/month"
	"hulltally/costing/stock"
)

// The files of testdata/published hold worked examples that others printed,
// each with its source: what is given, a line of dashes, what must come out.
// A few words are read per file; the files here and in the other
// published_*_test.go play them on the engine.

// example is one of them, line by line and word by word.
type example struct {
	name        string
	given, want [][]string
}

// published reads the examples of a file; it fails where there are fewer than
// are known to be there.
func published(t *testing.T, file string, atLeast int) []example {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "published", file))
	if err != nil {
		t.Fatal(err)
	}
	var list []example
	below := false
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		switch name, header := strings.CutPrefix(line, "== "); {
		case line == "" || line[0] == '#':
		case header:
			list, below = append(list, example{name: name}), false
		case line == "----":
			below = true
		case below:
			list[len(list)-1].want = append(list[len(list)-1].want, strings.Fields(line))
		default:
			list[len(list)-1].given = append(list[len(list)-1].given, strings.Fields(line))
		}
	}
	if len(list) < atLeast {
		t.Fatalf("%s has %d examples, want at least %d", file, len(list), atLeast)
	}
	for _, e := range list {
		if len(e.given) == 0 || len(e.want) == 0 {
			t.Errorf("%s: %s gives or wants nothing", file, e.name)
		}
	}
	return list
}

// decimal reads an example's number in millionths.
func decimal(t *testing.T, s string) int64 {
	t.Helper()
	v, err := costing.ParseDecimal(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func money(t *testing.T, s string) costing.Money {
	t.Helper()
	m, err := euro.FromDecimal(decimal(t, s))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

var euro = costing.Currency{Code: "EUR", Minor: 2}

// label is all but the last word of a line, which is its figure.
func label(line []string) (string, string) {
	last := len(line) - 1
	return strings.Join(line[:last], " "), line[last]
}

// check compares the figures that came out with those wanted.
func check(t *testing.T, e example, got func(what string) (string, bool)) {
	t.Helper()
	for _, line := range e.want {
		what, want := label(line)
		figure, ok := got(what)
		if !ok {
			t.Errorf("%s: nothing is known of %q", e.name, what)
			continue
		}
		if decimal(t, figure) != decimal(t, want) {
			t.Errorf("%s: %s is %s, want %s", e.name, what, figure, want)
		}
	}
}

// figures looks wanted amounts up in a map.
func figures(m map[string]costing.Money) func(string) (string, bool) {
	return func(what string) (string, bool) {
		v, ok := m[what]
		return euro.Format(v), ok
	}
}

func TestPublishedStock(t *testing.T) {
	for _, e := range published(t, "stock.txt", 4) {
		item := &costing.Item{Key: "I", StockUnit: costing.Each}
		y := &costing.Yard{Currency: euro, Zone: zone(t, "UTC"), Items: map[string]*costing.Item{"I": item}, Lots: map[string]*costing.Lot{}}
		y.Jobs = map[string]*costing.Job{"J": {Key: "J", Shares: []costing.ShareOf{{Hull: "H", Weight: 1}}}}
		c, book, lot := stock.Costing{Yard: y}, &stock.Book{}, ""
		got := map[string]costing.Money{"issued": 0, "lost": 0}
		apply := func(kind stock.Kind, quantity string) costing.Money {
			ch, err := c.Apply(book, stock.Event{Kind: kind, Lot: lot, Job: "J", Quantity: costing.Quantity(decimal(t, quantity))})
			if err != nil || ch.OverBook && item.CostMethod == costing.ByLot {
				t.Fatalf("%s: %s %s: %v, beyond the book: %t", e.name, kind, quantity, err, ch.OverBook)
			}
			return ch.Amount
		}
		for _, line := range e.given {
			switch line[0] {
			case "method":
				item.CostMethod = costing.CostMethod(line[1])
			case "waste":
				item.WasteMode = costing.Factored
				item.WasteFactor = item.WasteFactor.Add(costing.FromStart, costing.Share(decimal(t, line[1])))
			case "in":
				lot += "L"
				y.Lots[lot] = &costing.Lot{Key: lot, Item: "I", Quantity: costing.Quantity(decimal(t, line[1])), Cost: money(t, line[3])}
				apply(stock.Receipt, line[1])
			case "issue":
				got["issued"] += apply(stock.Issue, line[1])
			case "scrap":
				got["lost"] += apply(stock.Scrap, line[1])
			default:
				t.Fatalf("%s: %q isn't understood", e.name, line)
			}
		}
		got["left"] = c.Worth(stock.UnitOf(y, lot), book)
		check(t, e, figures(got))
	}
}

func TestPublishedMonth(t *testing.T) {
	for _, e := range published(t, "month.txt", 4) {
		var c month.Contract
		into := map[string]*costing.Money{
			"price": &c.Price, "cost": &c.Cost, "to complete": &c.ToComplete, "uninstalled": &c.Uninstalled, "uninstalled in all": &c.UninstalledTotal,
		}
		for _, line := range e.given {
			what, amount := label(line)
			if into[what] == nil {
				t.Fatalf("%s: %q isn't understood", e.name, line)
			}
			*into[what] = money(t, amount)
		}
		s, err := c.Standing()
		if err != nil {
			t.Fatal(err)
		}
		amounts := figures(map[string]costing.Money{"revenue": s.Revenue, "profit": s.Profit, "provision": s.Provision})
		check(t, e, func(what string) (string, bool) {
			if what == "progress" {
				return plain(s.Progress), true
			}
			return amounts(what)
		})
	}
}

// plain writes a fraction that ends within six places; examples have no other.
func plain(r *big.Rat) string {
	if n, exact := r.FloatPrec(); !exact || n > 6 {
		return "-999999"
	}
	return r.FloatString(6)
}

func TestPublishedEarnedValue(t *testing.T) {
	for _, e := range published(t, "earned.txt", 2) {
		given := map[string]*big.Rat{}
		for _, line := range e.given {
			given[line[0]] = big.NewRat(decimal(t, line[1]), costing.Million)
		}
		v := forecast.Earned{BAC: given["bac"], EV: given["ev"], AC: given["ac"]}
		got := map[string]*big.Rat{"cv": v.CV(), "cpi": v.CPI(), "eac": v.EAC(), "tcpi": v.TCPI()}
		got["to complete"] = new(big.Rat).Sub(got["eac"], v.AC)
		if spi := given["spi"]; spi != nil {
			got["composite"] = v.CompositeEAC(spi)
		}
		check(t, e, func(what string) (string, bool) {
			r := got[what]
			if r == nil {
				return "", false
			}
			return plain(r), true
		})
	}
}

// Two figures of composites arithmetic that the engine's own data give.
func TestPublishedComposites(t *testing.T) {
	// 5 : 1 by volume at densities of 1.12 and 0.95 is 100 : 16.96 by weight,
	// and 946 mL of it are 883 g and 150 g.
	resin := costing.Item{StockUnit: costing.Kilogram, Density: 1_120_000}
	hardener := costing.Item{StockUnit: costing.Kilogram, Density: 950_000}
	grams := func(it *costing.Item, litres *big.Rat) int64 {
		v, _ := new(big.Rat).Mul(litres, big.NewRat(costing.Million, 1)).Float64()
		q, err := it.InStockUnit(costing.Measure{Value: costing.Quantity(v), Unit: costing.Litre})
		if err != nil {
			t.Fatal(err)
		}
		return (int64(q) + 500) / 1000
	}
	if r, h := grams(&resin, big.NewRat(946*5, 6000)), grams(&hardener, big.NewRat(946, 6000)); r != 883 || h != 150 {
		t.Errorf("946 mL are %d g + %d g, want 883 + 150", r, h)
	}
	if r, h := grams(&resin, big.NewRat(5, 1)), grams(&hardener, big.NewRat(1, 1)); (h*10_000+r/2)/r != 1696 {
		t.Errorf("%d g : %d g, want 100 : 16.96", r, h)
	}

	// Carbon sheet of 4.24 g fibre and 2.05 g resin, densities 1.78 and 1.1: 0.56
	// by volume. Two plies of 450 g/m² chopped mat, resin to glass 2 : 1 by
	// weight, 2.56 and 1.20: 0.190 by volume (ISO 1172 measures the mass fraction).
	for _, c := range []struct{ fibre, resin, fibreDensity, resinDensity, want string }{
		{"4.24", "2.05", "1.78", "1.1", "0.56"},
		{"0.9", "1.8", "2.56", "1.2", "0.19"},
	} {
		y := &costing.Yard{
			Jobs: map[string]*costing.Job{"J": {Key: "J", Stage: "lay"}},
			Items: map[string]*costing.Item{
				"f": {Key: "f", KgPerUnit: costing.Million, AboardShare: costing.One, Role: costing.Fibre},
				"m": {Key: "m", KgPerUnit: costing.Million, AboardShare: costing.One, Role: costing.Resin},
			},
		}
		totals := costing.NewTotals()
		for item, kg := range map[string]string{"f": c.fibre, "m": c.resin} {
			totals.Add(&costing.Posting{Hull: "H", Job: "J", Stage: "lay", Element: costing.Material, Detail: item, Net: costing.Quantity(decimal(t, kg))})
		}
		rows, err := costing.Mass(y, totals)
		if err != nil || len(rows) != 1 {
			t.Fatalf("%v, %v", rows, err)
		}
		mass := rows[0].FibreFraction()
		rest := new(big.Rat).Sub(big.NewRat(1, 1), mass)
		f := mass.Quo(mass, big.NewRat(decimal(t, c.fibreDensity), costing.Million))
		m := rest.Quo(rest, big.NewRat(decimal(t, c.resinDensity), costing.Million))
		if got := f.Quo(f, m.Add(m, f)).FloatString(len(c.want) - 2); got != c.want {
			t.Errorf("%s : %s is a fibre volume of %s, want %s", c.fibre, c.resin, got, c.want)
		}
	}
}

// A file nobody plays holds nothing up.
func TestEveryPublishedFileIsPlayed(t *testing.T) {
	names, err := filepath.Glob(filepath.Join("..", "testdata", "published", "*"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range names {
		names[i] = filepath.Base(names[i])
	}
	if want := []string{"earned.txt", "jobs.txt", "month.txt", "pay.txt", "stock.txt", "variance.txt"}; !slices.Equal(names, want) {
		t.Errorf("testdata/published holds %v, played are %v", names, want)
	}
}
