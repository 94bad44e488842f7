package costing_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// Minor units of ISO 4217, list one.
func TestMinorUnits(t *testing.T) {
	for code, want := range map[string]int{
		"ZAR": 2, "USD": 2, "EUR": 2, "GBP": 2, "JPY": 0, "ISK": 0, "KWD": 3, "BHD": 3, "CLF": 4,
	} {
		c, err := costing.ParseCurrency(code)
		if err != nil || c.Minor != want || c.Code != code {
			t.Errorf("ParseCurrency(%s) = %v, %v; want %d digits", code, c, err, want)
		}
		if scale := c.Scale(); scale != []int64{1, 10, 100, 1000, 10000}[want] {
			t.Errorf("%s has a scale of %d", code, scale)
		}
	}
	for _, code := range []string{"", " ", "   ", "eur", "EURO", "EU", "XTS", "XAU", "€", "R", "AED AFN", "ED "} {
		if c, err := costing.ParseCurrency(code); err == nil {
			t.Errorf("ParseCurrency(%q) = %v, want an error", code, c)
		}
	}
}

func currency(t interface{ Fatal(...any) }, code string) costing.Currency {
	c, err := costing.ParseCurrency(code)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestFormatMoney(t *testing.T) {
	for _, c := range []struct {
		code string
		m    costing.Money
		want string
	}{
		{"EUR", 123456, "1234.56"},
		{"EUR", 5, "0.05"},
		{"EUR", -5, "-0.05"},
		{"EUR", 0, "0.00"},
		{"EUR", -100, "-1.00"},
		{"JPY", 1234, "1234"},
		{"JPY", -7, "-7"},
		{"KWD", 1, "0.001"},
		{"KWD", 1000, "1.000"},
		{"EUR", math.MinInt64, "-92233720368547758.08"},
	} {
		if got := currency(t, c.code).Format(c.m); got != c.want {
			t.Errorf("%d minor units of %s are written %q, want %q", c.m, c.code, got, c.want)
		}
	}
}

func TestFromDecimal(t *testing.T) {
	for _, c := range []struct {
		code string
		v    string
		want costing.Money
	}{
		{"EUR", "12.34", 1234},
		{"EUR", "0.005", 1},
		{"EUR", "-0.005", -1},
		{"EUR", "0.004999", 0},
		{"JPY", "0.5", 1},
		{"JPY", "1234", 1234},
		{"KWD", "0.0005", 1},
		{"KWD", "1.2344", 1234},
	} {
		v, err := costing.ParseDecimal(c.v)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := currency(t, c.code).FromDecimal(v); got != c.want || err != nil {
			t.Errorf("%s %s = %d, %v; want %d", c.v, c.code, got, err, c.want)
		}
	}
}

// What a whole number of minor units is written as, is read as the same.
func TestMoneyRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := currency(t, rapid.SampledFrom([]string{"ZAR", "JPY", "KWD", "CLF"}).Draw(t, "currency"))
		m := costing.Money(rapid.Int64Range(-1<<40, 1<<40).Draw(t, "m"))
		v, err := costing.ParseDecimal(c.Format(m))
		if err != nil {
			t.Fatal(err)
		}
		if back, err := c.FromDecimal(v); back != m || err != nil {
			t.Fatalf("%d is written %s and read as %d, %v", m, c.Format(m), back, err)
		}
	})
}

func TestConvertAndExtend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := currency(t, rapid.SampledFrom([]string{"ZAR", "JPY", "KWD", "CLF"}).Draw(t, "currency"))
		amount, fx := rapid.Int64().Draw(t, "amount"), rapid.Int64().Draw(t, "fx")
		exact := new(big.Rat).Mul(big.NewRat(amount, costing.Million), big.NewRat(fx, costing.Million))
		exact.Mul(exact, big.NewRat(c.Scale(), 1))
		if got := c.Extend(costing.Quantity(amount), costing.Price(fx)); got.Cmp(exact) != 0 {
			t.Fatalf("%d × %d = %s, want %s", amount, fx, got, exact)
		}
		got, err := c.Convert(amount, costing.Price(fx))
		checkRounded(t, int64(got), err, exact)
	})
}

// An amount that no register holds is an error, not a stop: it comes from a file.
func TestConvertRefusesTooMuch(t *testing.T) {
	for _, code := range []string{"JPY", "EUR", "CLF"} {
		if got, err := currency(t, code).Convert(math.MaxInt64, math.MaxInt64); !errors.Is(err, costing.ErrTooLarge) {
			t.Errorf("%s: converted to %d, %v", code, got, err)
		}
	}
}
