package costing_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// Every prefix of a series adds up to its exact total, rounded once.
func TestSeriesAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		den := rapid.Int64Range(1, 1e15).Draw(t, "den")
		amounts := rapid.SliceOfN(rapid.Int64Range(-1e18, 1e18), 1, 30).Draw(t, "amounts")
		factor := rapid.Int64Range(0, 1000).Draw(t, "factor")
		var s costing.Series
		exact, posted := new(big.Int), new(big.Int)
		for _, a := range amounts {
			step, err := s.Step(costing.Mul(a, factor), den)
			if err != nil {
				return // left 64 bits, as a small denominator may
			}
			exact.Add(exact, new(big.Int).Mul(big.NewInt(a), big.NewInt(factor)))
			posted.Add(posted, big.NewInt(int64(step)))
			if want := halfAway(new(big.Rat).SetFrac(exact, big.NewInt(den))); posted.Cmp(want) != 0 {
				t.Fatalf("%v × %d / %d: posted %s, want %s", amounts, factor, den, posted, want)
			}
		}
	})
}

// Three thirds of a cent: 0, 1, 0 and never a cent too much or too little.
func TestSeriesOfThirds(t *testing.T) {
	var s costing.Series
	for i, want := range []costing.Money{0, 1, 0, 0, 1, 0} {
		if got, err := s.Step(costing.WideOf(1), 3); got != want || err != nil {
			t.Errorf("step %d is %d, %v; want %d", i+1, got, err, want)
		}
	}
}

// What is drawn and put back costs nothing in the end.
func TestSeriesGoesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		den := rapid.Int64Range(1, 1e9).Draw(t, "den")
		amounts := rapid.SliceOfN(rapid.Int64Range(-1e9, 1e9), 1, 20).Draw(t, "amounts")
		var s costing.Series
		var sum costing.Money
		for _, sign := range []int64{1, -1} {
			for _, a := range amounts {
				step, err := s.Step(costing.WideOf(sign*a), den)
				if err != nil {
					t.Fatal(err)
				}
				sum += step
			}
		}
		if sum != 0 || s.Posted != 0 || s.Sum != (costing.Wide{}) {
			t.Fatalf("%v / %d and back leaves %d", amounts, den, sum)
		}
	})
}

// A step from one end of 64 bits to the other is an error, never a wrap.
func TestSeriesRefusesToWrap(t *testing.T) {
	var s costing.Series
	if _, err := s.Step(costing.WideOf(-math.MaxInt64), 1); err != nil {
		t.Fatal(err)
	}
	if step, err := s.Step(costing.Mul(math.MaxInt64, 2), 1); !errors.Is(err, costing.ErrTooLarge) {
		t.Errorf("the step is %d, %v", step, err)
	}
}

func TestCheckBalance(t *testing.T) {
	good := costing.Posting{Source: "a", Debit: costing.WorkInProgress, Credit: costing.Stock, Amount: 5}
	if err := costing.CheckBalance([]costing.Posting{good, good}); err != nil {
		t.Error(err)
	}
	for _, bad := range []costing.Posting{
		{Credit: costing.Stock}, {Debit: costing.Stock}, {Debit: costing.Stock, Credit: costing.Stock}, {},
	} {
		if err := costing.CheckBalance([]costing.Posting{good, bad}); err == nil {
			t.Errorf("%q against %q went through", bad.Debit, bad.Credit)
		}
	}
}

func TestOverheadAccounts(t *testing.T) {
	for account, want := range map[costing.Account]bool{
		costing.OverheadOf("CLEAN"): true, costing.OvertimePremium: true, costing.OverheadAbsorbed: false,
		costing.WorkInProgress: false, costing.Stock: false,
	} {
		if account.IsOverhead() != want {
			t.Errorf("%q is overhead: %t", account, !want)
		}
	}
	if costing.OverheadOf("overtime premium") == costing.OvertimePremium {
		t.Error("an indirect code of that name shares the account of the overtime premium")
	}
}
