package costing_test

import (
	"maps"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// A tally's totals are those of adding each posting by itself.
func TestTallyIsTotals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := rapid.SliceOf(anyPosting()).Draw(t, "postings")
		for i := range ps {
			// Amounts that come back leave a line of nought in the accounts.
			if i > 0 && rapid.IntRange(0, 3).Draw(t, "taken back") == 0 {
				ps[i] = ps[i-1]
				ps[i].Amount = -ps[i].Amount
			}
		}
		tally, want := costing.NewTally(), costing.NewTotals()
		for i := range ps {
			tally.Add(&ps[i])
			want.Add(&ps[i])
		}
		got := tally.Totals()
		if !maps.Equal(got.Cells, want.Cells) || !maps.Equal(got.Fine, want.Fine) || !maps.Equal(got.Ledger, want.Ledger) {
			t.Fatalf("got %+v\nwant %+v", got, want)
		}
	})
}
