package costing_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

func TestParseDecimal(t *testing.T) {
	for s, want := range map[string]int64{
		"0": 0, "-0": 0, "00012": 12_000_000, "12": 12_000_000, "12.5": 12_500_000, "-0.000001": -1, "0.0000010": 1,
		"9223372036854.775807": math.MaxInt64, "-9223372036854.775807": -math.MaxInt64,
	} {
		if got, err := costing.ParseDecimal(s); got != want || err != nil {
			t.Errorf("ParseDecimal(%q) = %d, %v; want %d", s, got, err, want)
		}
	}
	for s, want := range map[string]error{
		"": costing.ErrNotDecimal, "-": costing.ErrNotDecimal, ".5": costing.ErrNotDecimal, "5.": costing.ErrNotDecimal,
		"+5": costing.ErrNotDecimal, "--5": costing.ErrNotDecimal, "1e3": costing.ErrNotDecimal, "1,000": costing.ErrNotDecimal,
		" 1": costing.ErrNotDecimal, "1.2.3": costing.ErrNotDecimal, "٣": costing.ErrNotDecimal, "0x10": costing.ErrNotDecimal,
		"NaN": costing.ErrNotDecimal, "0.0000001": costing.ErrPlaces,
		"9223372036854.775808": costing.ErrTooLarge, "-9223372036854.775808": costing.ErrTooLarge, "99999999999999999999": costing.ErrTooLarge,
	} {
		if got, err := costing.ParseDecimal(s); !errors.Is(err, want) {
			t.Errorf("ParseDecimal(%q) = %d, %v; want the error %q", s, got, err, want)
		}
	}
}

// Whatever is written is read back, and the text is the exact value.
func TestDecimalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Int64Range(-math.MaxInt64, math.MaxInt64).Draw(t, "v")
		s := costing.FormatDecimal(v)
		if got, err := costing.ParseDecimal(s); got != v || err != nil {
			t.Fatalf("ParseDecimal(FormatDecimal(%d) = %q) = %d, %v", v, s, got, err)
		}
		exact, ok := new(big.Rat).SetString(s)
		if !ok || exact.Cmp(big.NewRat(v, costing.Million)) != 0 {
			t.Fatalf("FormatDecimal(%d) = %q", v, s)
		}
	})
}

// Whatever is accepted is the number that the text says.
func TestParseDecimalAgainstRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`-?[0-9]{0,14}(\.[0-9]{0,8})?`).Draw(t, "s")
		v, err := costing.ParseDecimal(s)
		if err != nil {
			return
		}
		exact, ok := new(big.Rat).SetString(s)
		if !ok || exact.Cmp(big.NewRat(v, costing.Million)) != 0 {
			t.Fatalf("ParseDecimal(%q) = %d millionths", s, v)
		}
	})
}

func TestFormatDecimal(t *testing.T) {
	for v, want := range map[int64]string{
		0: "0", 10_000_000: "10", 12_500_000: "12.5", -1: "-0.000001", 100: "0.0001", math.MinInt64: "-9223372036854.775808",
	} {
		if got := costing.FormatDecimal(v); got != want {
			t.Errorf("FormatDecimal(%d) = %q, want %q", v, got, want)
		}
	}
}
