package costing_test

import (
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// A year is closed month by month while what is known of it keeps changing:
// what the books show must always add up to what is computed, and nothing in a
// closed month may move.
func TestClosedMonthsNeverMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var stored []costing.Posting
		closed := costing.Period(202512)
		for range 12 {
			computed := rapid.SliceOfN(somePosting(), 0, 8).Draw(t, "computed")
			var frozen []costing.Posting
			for _, p := range stored {
				if p.Period() <= closed {
					frozen = append(frozen, p)
				}
			}
			open, adjustments := costing.Adjust(closed, frozen, computed)
			for _, p := range append(open, adjustments...) {
				if p.Period() <= closed {
					t.Fatalf("posting %+v falls into the closed month %s", p, closed)
				}
			}
			stored = append(append(frozen, adjustments...), open...)
			if is, want := sum(stored), sum(computed); is != want {
				t.Fatalf("the books add up to %+v, computed is %+v", is, want)
			}
			closed = closed.Next()
		}
	})
}

func somePosting() *rapid.Generator[costing.Posting] {
	return rapid.Custom(func(t *rapid.T) costing.Posting {
		return costing.Posting{
			Source: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "source"),
			Date:   costing.NewDate(2026, 1, 1) + costing.Date(rapid.IntRange(0, 364).Draw(t, "day")),
			Debit:  costing.WorkInProgress, Credit: costing.WagesPayable, Hull: "H1",
			Seconds: int64(rapid.IntRange(-9, 9).Draw(t, "seconds")),
			Amount:  costing.Money(rapid.IntRange(-9, 9).Draw(t, "amount")),
		}
	})
}

type sums struct {
	seconds int64
	amount  costing.Money
}

func sum(ps []costing.Posting) (s [2]sums) {
	for _, p := range ps {
		i := 0
		if p.Source == "b" {
			i = 1
		}
		s[i].seconds += p.Seconds
		s[i].amount += p.Amount
	}
	return s
}
