package costing_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

func TestParseMeasure(t *testing.T) {
	for s, want := range map[string]costing.Measure{
		"12.5":     {Value: 12_500_000},
		"12,5":     {Value: 12_500_000},
		"12.5MTR":  {Value: 12_500_000, Unit: costing.Metre},
		"0,001KGM": {Value: 1000, Unit: costing.Kilogram},
		"3C62":     {Value: 3_000_000, Unit: costing.Each},
		"7LTR":     {Value: 7_000_000, Unit: costing.Litre},
		"7MTK":     {Value: 7_000_000, Unit: costing.SquareMetre},
	} {
		if got, err := costing.ParseMeasure(s); got != want || err != nil {
			t.Errorf("ParseMeasure(%q) = %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "MTR", "12.5mtr", "12.5M", "12.5 MTR", "1,234.5", "1.2,3", "12.5MTRX", "12.5XYZ", "1.2345678KGM", "1C", "12.5MTR3"} {
		if got, err := costing.ParseMeasure(s); err == nil {
			t.Errorf("ParseMeasure(%q) = %v, want an error", s, got)
		}
	}
}

func TestInStockUnit(t *testing.T) {
	cloth := &costing.Item{Key: "CLOTH", StockUnit: costing.SquareMetre, RollWidth: 1_270_000}
	board := &costing.Item{Key: "BOARD", StockUnit: costing.SquareMetre, SheetArea: 2_976_800}
	resin := &costing.Item{Key: "RESIN", StockUnit: costing.Kilogram, Density: 1_120_000}
	solvent := &costing.Item{Key: "SOLVENT", StockUnit: costing.Litre, Density: 790_000}
	bare := &costing.Item{Key: "BARE", StockUnit: costing.Kilogram}
	for _, c := range []struct {
		item *costing.Item
		in   string
		want string // empty: refused
	}{
		{cloth, "10", "10"},
		{cloth, "10MTK", "10"},
		{cloth, "10MTR", "12.7"},
		{cloth, "10C62", ""},
		{cloth, "10KGM", ""},
		{board, "3C62", "8.9304"},
		{board, "3MTR", ""},
		{resin, "5LTR", "5.6"},
		{resin, "0.000001LTR", "0.000001"},
		{resin, "-5LTR", "-5.6"},
		{resin, "5HUR", ""},
		{solvent, "5KGM", "6.329114"}, // 5 / 0.79 = 6.3291139…
		{bare, "5LTR", ""},
		{bare, "5KGM", "5"},
	} {
		m, err := costing.ParseMeasure(c.in)
		if err != nil {
			t.Fatal(err)
		}
		q, err := c.item.InStockUnit(m)
		if got := q.String(); (err == nil) != (c.want != "") || err == nil && got != c.want {
			t.Errorf("%s of %s is %s %s, %v; want %q", c.in, c.item.Key, got, c.item.StockUnit, err, c.want)
		}
	}
	if q, err := resin.InStockUnit(costing.Measure{Value: math.MaxInt64, Unit: costing.Litre}); !errors.Is(err, costing.ErrTooLarge) {
		t.Errorf("a quantity too large was converted to %s, %v", q, err)
	}
}

// Litres to kilograms and back come within the last place of a litre, scaled
// by the density.
func TestDensityThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		density := rapid.Int64Range(500_000, 3_000_000).Draw(t, "density")
		litres := costing.Quantity(rapid.Int64Range(-1e12, 1e12).Draw(t, "litres"))
		byMass := &costing.Item{StockUnit: costing.Kilogram, Density: density}
		byVolume := &costing.Item{StockUnit: costing.Litre, Density: density}
		kg, err := byMass.InStockUnit(costing.Measure{Value: litres, Unit: costing.Litre})
		if err != nil {
			t.Fatal(err)
		}
		back, err := byVolume.InStockUnit(costing.Measure{Value: kg, Unit: costing.Kilogram})
		if err != nil {
			t.Fatal(err)
		}
		if d := back - litres; d < -2 || d > 2 {
			t.Fatalf("%s L of density %d is %s kg is %s L", litres, density, kg, back)
		}
	})
}

// A waste factor is a share of net: 15 % of net is × 1.15, not ÷ 0.85.
func TestGrossUp(t *testing.T) {
	for _, c := range []struct {
		net    costing.Quantity
		factor costing.Share
		want   costing.Quantity
	}{
		{10_000_000, 150_000, 11_500_000},
		{-10_000_000, 150_000, -11_500_000},
		{10_000_000, 0, 10_000_000},
		{1, 500_000, 2},
		{-1, 500_000, -2},
		{1, 499_999, 1},
	} {
		if got, err := costing.GrossUp(c.net, c.factor); got != c.want || err != nil {
			t.Errorf("GrossUp(%d, %d) = %d, %v; want %d", c.net, c.factor, got, err, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		net, factor := rapid.Int64().Draw(t, "net"), rapid.Int64Range(0, math.MaxInt64).Draw(t, "factor")
		exact := new(big.Rat).Add(big.NewRat(1, 1), big.NewRat(factor, costing.Million))
		exact.Mul(exact, big.NewRat(net, 1))
		if factor > math.MaxInt64-costing.Million {
			if got, err := costing.GrossUp(costing.Quantity(net), costing.Share(factor)); !errors.Is(err, costing.ErrTooLarge) {
				t.Fatalf("GrossUp(%d, %d) = %d, %v", net, factor, got, err)
			}
			return
		}
		got, err := costing.GrossUp(costing.Quantity(net), costing.Share(factor))
		checkRounded(t, int64(got), err, exact)
	})
}

func TestParseUnit(t *testing.T) {
	for _, u := range costing.StockUnits {
		if got, err := costing.ParseUnit(string(u)); got != u || err != nil {
			t.Errorf("ParseUnit(%s) = %s, %v", u, got, err)
		}
	}
	for _, s := range []string{"", "kgm", "KG", "KGM "} {
		if got, err := costing.ParseUnit(s); err == nil {
			t.Errorf("ParseUnit(%q) = %s, want an error", s, got)
		}
	}
}
