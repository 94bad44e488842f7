package costing_test

import (
	"math/big"
	"strings"
	"testing"

	"hulltally/costing"
)

// FuzzParseDecimal: what is read is the number that was written, and writing
// it gives a text that reads the same.
func FuzzParseDecimal(f *testing.F) {
	for _, s := range []string{"0", "-0.5", "12.500", "9223372036854.775807", "9223372036854.775808", "-9223372036854.775807", "1e3", "+1", ".5", "5.", "١", "1,5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := costing.ParseDecimal(s)
		if err != nil {
			return
		}
		if r, ok := new(big.Rat).SetString(s); !ok || r.Cmp(big.NewRat(v, costing.Million)) != 0 {
			t.Fatalf("%q was read as %d millionths", s, v)
		}
		back := costing.FormatDecimal(v)
		if again, err := costing.ParseDecimal(back); again != v || err != nil {
			t.Fatalf("%q was written as %q, which reads as %d, %v", s, back, again, err)
		}
	})
}

// FuzzParseMeasure: a measure is a decimal, with a comma or a point, and a
// known unit or none.
func FuzzParseMeasure(f *testing.F) {
	for _, s := range []string{"12.5", "12,5MTR", "3C62", "C62", "1.5LTRLTR", "-4KGM", "1,2,3", "1.2,3", "7XYZ", "4 KGM", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := costing.ParseMeasure(s)
		if err != nil {
			return
		}
		if m.Unit != "" {
			if _, err := costing.ParseUnit(string(m.Unit)); err != nil {
				t.Fatalf("%q has the unit %q", s, m.Unit)
			}
		}
		number, ok := strings.CutSuffix(s, string(m.Unit))
		v, err := costing.ParseDecimal(strings.Replace(number, ",", ".", 1))
		if !ok || err != nil || costing.Quantity(v) != m.Value {
			t.Fatalf("%q was read as %s %s", s, m.Value, m.Unit)
		}
	})
}
