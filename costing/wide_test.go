package costing_test

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// anyWide draws a 128-bit number with small, large and boundary words.
func anyWide(t *rapid.T, label string) costing.Wide {
	return costing.Wide{Hi: rapid.Int64().Draw(t, label+" high"), Lo: rapid.Uint64().Draw(t, label+" low")}
}

// wrap128 is a big.Int cut to 128 bits, two's complement.
func wrap128(b *big.Int) *big.Int {
	modulus := new(big.Int).Lsh(big.NewInt(1), 128)
	b = new(big.Int).Mod(b, modulus)
	if b.Bit(127) == 1 {
		b.Sub(b, modulus)
	}
	return b
}

// halfAway is r rounded half away from zero, written apart from the code
// under test: add or take a half, then cut towards zero.
func halfAway(r *big.Rat) *big.Int {
	half := big.NewRat(1, 2)
	if r.Sign() < 0 {
		half.Neg(half)
	}
	sum := new(big.Rat).Add(r, half)
	return new(big.Int).Quo(sum.Num(), sum.Denom())
}

// checkRounded compares a rounded result with the exact value: equal, or
// refused just where it is beyond ±(2^63 − 1).
func checkRounded(t *rapid.T, got int64, err error, exact *big.Rat) {
	t.Helper()
	want := halfAway(exact)
	fits := want.CmpAbs(big.NewInt(math.MaxInt64)) <= 0
	switch {
	case fits && err != nil:
		t.Fatalf("%s rounds to %s, but was refused: %v", exact, want, err)
	case fits && got != want.Int64():
		t.Fatalf("%s rounded to %d, want %s", exact, got, want)
	case !fits && !errors.Is(err, costing.ErrTooLarge):
		t.Fatalf("%s is too large, but gave %d, %v", exact, got, err)
	}
}

func TestWideAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64().Draw(t, "a"), rapid.Int64().Draw(t, "b")
		if got := costing.WideOf(a).Big(); got.Cmp(big.NewInt(a)) != 0 {
			t.Fatalf("WideOf(%d) = %s", a, got)
		}
		want := new(big.Int).Mul(big.NewInt(a), big.NewInt(b))
		if got := costing.Mul(a, b).Big(); got.Cmp(want) != 0 {
			t.Fatalf("Mul(%d, %d) = %s, want %s", a, b, got, want)
		}
		w, x := anyWide(t, "w"), anyWide(t, "x")
		if got, want := w.Add(x).Big(), wrap128(new(big.Int).Add(w.Big(), x.Big())); got.Cmp(want) != 0 {
			t.Fatalf("%s + %s = %s, want %s", w.Big(), x.Big(), got, want)
		}
		if got, want := w.Neg().Big(), wrap128(new(big.Int).Neg(w.Big())); got.Cmp(want) != 0 {
			t.Fatalf("-(%s) = %s, want %s", w.Big(), got, want)
		}
	})
}

// Times is exact, or stops where the product needs more than 128 bits.
func TestTimesAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := costing.Wide{Hi: rapid.Int64().Draw(t, "high") >> rapid.IntRange(0, 63).Draw(t, "shift"), Lo: rapid.Uint64().Draw(t, "low")}
		m := rapid.Int64().Draw(t, "m")
		want := new(big.Int).Mul(w.Big(), big.NewInt(m))
		defer func() {
			if stopped := recover() != nil; stopped != (want.BitLen() > 127) {
				t.Fatalf("%s × %d = %s: stopped %t", w.Big(), m, want, stopped)
			}
		}()
		if got := w.Times(m).Big(); got.Cmp(want) != 0 {
			t.Fatalf("%s × %d = %s, want %s", w.Big(), m, got, want)
		}
	})
}

func TestRoundAgainstRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		den := rapid.Int64Range(1, math.MaxInt64).Draw(t, "den")
		w := costing.Wide{Hi: rapid.Int64().Draw(t, "high") >> rapid.IntRange(0, 63).Draw(t, "shift"), Lo: rapid.Uint64().Draw(t, "low")}
		got, err := w.Round(den)
		checkRounded(t, got, err, new(big.Rat).SetFrac(w.Big(), big.NewInt(den)))
	})
}

func TestMulRoundAgainstRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64().Draw(t, "a"), rapid.Int64().Draw(t, "b")
		den := rapid.Int64Range(1, math.MaxInt64).Draw(t, "den")
		got, err := costing.MulRound(a, b, den)
		exact := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(a), big.NewInt(b)), big.NewInt(den))
		checkRounded(t, got, err, exact)
		gotRat, err := costing.RoundRat(exact)
		checkRounded(t, gotRat, err, exact)
	})
}

// Halves, where a wrong rule of rounding shows.
func TestRoundHalfAwayFromZero(t *testing.T) {
	for _, c := range []struct{ a, den, want int64 }{
		{1, 2, 1},
		{-1, 2, -1},
		{3, 2, 2},
		{-3, 2, -2},
		{5, 2, 3},
		{-5, 2, -3},
		{49, 100, 0},
		{50, 100, 1},
		{-49, 100, 0},
		{-50, 100, -1},
		{1, 3, 0},
		{2, 3, 1},
		{-2, 3, -1},
		{0, 7, 0},
		{2_345_000, 1_000_000, 2},
		{2_500_000, 1_000_000, 3},
	} {
		if got, err := costing.MulRound(c.a, 1, c.den); got != c.want || err != nil {
			t.Errorf("MulRound(%d, 1, %d) = %d, %v; want %d", c.a, c.den, got, err, c.want)
		}
		if got, err := costing.RoundRat(big.NewRat(c.a, c.den)); got != c.want || err != nil {
			t.Errorf("RoundRat(%d/%d) = %d, %v; want %d", c.a, c.den, got, err, c.want)
		}
	}
}

// Quotients at the edges of 64 bits: one of 2^64 − 1 and two thirds must not
// come out as nought.
func TestRoundAtTheEdge(t *testing.T) {
	for _, c := range []struct {
		w    costing.Wide
		den  int64
		want int64
		ok   bool
	}{
		{costing.Wide{Hi: 2, Lo: math.MaxUint64}, 3, 0, false},
		{costing.WideOf(math.MaxInt64), 1, math.MaxInt64, true},
		{costing.WideOf(-math.MaxInt64), 1, -math.MaxInt64, true},
		{costing.WideOf(math.MinInt64), 1, 0, false},
		{costing.Wide{Lo: math.MaxUint64 - 1}, 2, math.MaxInt64, true},
		{costing.Wide{Lo: math.MaxUint64}, 2, 0, false},
		{costing.Wide{Hi: math.MinInt64}, math.MaxInt64, 0, false},
	} {
		got, err := c.w.Round(c.den)
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("%s / %d = %d, %v; want %d, accepted %t", c.w.Big(), c.den, got, err, c.want, c.ok)
		}
	}
}

func TestRoundNeedsAPositiveDenominator(t *testing.T) {
	for _, den := range []int64{0, -1} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("Round(%d) went through", den)
				}
			}()
			_, _ = costing.WideOf(1).Round(den)
		}()
	}
}

// A Wide kept as JSON comes back whole, nought and negatives too.
func TestWideJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWide(t, "w")
		text, err := json.Marshal(w)
		if err != nil {
			t.Fatal(err)
		}
		var back costing.Wide
		if err := json.Unmarshal(text, &back); err != nil || back != w {
			t.Fatalf("%v was kept as %s and came back as %v, %v", w, text, back, err)
		}
	})
}
