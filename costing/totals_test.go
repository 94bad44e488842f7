package costing_test

import (
	"maps"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// anyPosting draws a posting over few keys, so that cells are hit often.
func anyPosting() *rapid.Generator[costing.Posting] {
	amount := rapid.Int64Range(-1e6, 1e6)
	pick := func(t *rapid.T, label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	return rapid.Custom(func(t *rapid.T) costing.Posting {
		return costing.Posting{
			Date:  costing.NewDate(2026, 1, rapid.IntRange(1, 90).Draw(t, "day")),
			Debit: costing.WorkInProgress, Credit: costing.Account(pick(t, "credit", string(costing.Stock), string(costing.WagesPayable))),
			Hull: pick(t, "hull", "", "H1", "H2"), Stage: pick(t, "stage", "10", "20"), Job: pick(t, "job", "", "J1"),
			Element: costing.Element(pick(t, "element", "labour", "material")), Purpose: costing.Build, Detail: pick(t, "detail", "a", "b"),
			Seconds: amount.Draw(t, "seconds"), Quantity: costing.Quantity(amount.Draw(t, "quantity")),
			Net: costing.Quantity(amount.Draw(t, "net")), Waste: costing.Quantity(amount.Draw(t, "waste")),
			Amount: costing.Money(amount.Draw(t, "amount")),
		}
	})
}

// dense is totals without what came to nought.
func dense(t *costing.Totals) *costing.Totals {
	maps.DeleteFunc(t.Cells, func(_ costing.Cell, s costing.Sums) bool { return s.IsZero() })
	maps.DeleteFunc(t.Fine, func(_ costing.Fine, s costing.Sums) bool { return s.IsZero() })
	maps.DeleteFunc(t.Ledger, func(_ costing.Ledger, m costing.Money) bool { return m == 0 })
	return t
}

func same(a, b *costing.Totals) bool {
	return maps.Equal(a.Cells, b.Cells) && maps.Equal(a.Fine, b.Fine) && maps.Equal(a.Ledger, b.Ledger)
}

func totalsOf(ps []costing.Posting) *costing.Totals {
	t := costing.NewTotals()
	for i := range ps {
		t.Add(&ps[i])
	}
	return t
}

// Totals don't depend on the order of postings, come apart and together again,
// and what is counted in and out leaves nothing. Debits are credits.
func TestTotals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := rapid.SliceOfN(anyPosting(), 0, 30).Draw(t, "postings")
		whole := totalsOf(ps)
		if shuffled := rapid.Permutation(ps).Draw(t, "order"); !same(dense(whole), dense(totalsOf(shuffled))) {
			t.Fatal("another order gives other totals")
		}
		cut := rapid.IntRange(0, len(ps)).Draw(t, "cut")
		parts := totalsOf(ps[:cut])
		parts.AddAll(totalsOf(ps[cut:]))
		if !same(dense(whole), dense(parts)) {
			t.Fatal("the totals of two parts are not those of the whole")
		}
		var balance costing.Money
		for _, m := range whole.Ledger {
			balance += m
		}
		if balance != 0 {
			t.Fatalf("debits less credits are %d", balance)
		}
		for i := range ps {
			whole.Take(&ps[i])
		}
		if !same(dense(whole), costing.NewTotals()) {
			t.Fatal("what was counted out again leaves something")
		}
	})
}

// Cells add up seconds and amounts; quantities of unlike items stay apart.
func TestCellsKeepQuantitiesApart(t *testing.T) {
	day := costing.NewDate(2026, 3, 31)
	p := costing.Posting{
		Date: day, Debit: costing.WorkInProgress, Credit: costing.Stock, Hull: "H1", Stage: "10", Job: "J1",
		Element: costing.Material, Purpose: costing.Build, Detail: "R", Quantity: 3, Net: 2, Waste: 1, Amount: 500,
	}
	totals := totalsOf([]costing.Posting{p})
	cell := costing.Cell{Hull: "H1", Stage: "10", Element: costing.Material, Purpose: costing.Build, Period: 202603}
	if got, want := totals.Cells[cell], (costing.Sums{Amount: 500}); got != want {
		t.Errorf("the cell holds %+v, want %+v", got, want)
	}
	fine := costing.Fine{Hull: "H1", Job: "J1", Element: costing.Material, Detail: "R", Period: 202603}
	if got, want := totals.Fine[fine], (costing.Sums{Quantity: 3, Net: 2, Waste: 1, Amount: 500}); got != want {
		t.Errorf("the detail holds %+v, want %+v", got, want)
	}
	if got := totals.Ledger[costing.Ledger{Account: costing.Stock, Period: 202603}]; got != -500 {
		t.Errorf("stock holds %d, want -500", got)
	}
}
