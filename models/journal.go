package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
)

// Entry is what the journal of a month adds up: one pair of accounts, for one
// hull and stage.
type Entry struct {
	Debit, Credit costing.Account
	Hull, Stage   string
	Adjusts       bool
	Amount        costing.Money
}

// Journal adds up what is booked in a month by accounts, hull and stage.
func (tx *Tx) Journal(ctx context.Context, f *Figures, p costing.Period) ([]Entry, error) {
	sums := map[Entry]costing.Money{}
	count := func(line *costing.Posting, adjusts bool) {
		sums[Entry{Debit: line.Debit, Credit: line.Credit, Hull: line.Hull, Stage: line.Stage, Adjusts: adjusts}] += line.Amount
	}
	heads := "debit, credit, hull, stage"
	query := "SELECT '', MIN(date), " + heads + ", '', '', '', '', 0, 0, 0, 0, CAST(SUM(amount) AS BIGINT) FROM "
	if at := slices.IndexFunc(f.Closes, func(c costing.Close) bool { return c.Period == p }); at >= 0 {
		for _, kind := range []struct {
			where   string
			adjusts bool
		}{{"kind <> 'adjustment'", false}, {"kind = 'adjustment'", true}} {
			err := tx.eachLine(ctx, query+"frozen WHERE closed_ms = ? AND "+kind.where+" GROUP BY "+heads, []any{f.Closes[at].At},
				func(line *costing.Posting) error {
					count(line, kind.adjusts)
					return nil
				})
			if err != nil {
				return nil, err
			}
		}
	} else if p > f.Closed {
		if err := tx.openJournal(ctx, f, p, query, heads, count); err != nil {
			return nil, err
		}
	}
	var list []Entry
	for e, m := range sums {
		if e.Amount = m; m != 0 {
			list = append(list, e)
		}
	}
	slices.SortFunc(list, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(number(a.Adjusts), number(b.Adjusts)), cmp.Compare(a.Debit, b.Debit), cmp.Compare(a.Credit, b.Credit),
			cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage))
	})
	return list, nil
}

func (tx *Tx) openJournal(ctx context.Context, f *Figures, p costing.Period, query, heads string, count func(*costing.Posting, bool)) error {
	err := tx.eachLine(ctx, query+"postings WHERE period = ? GROUP BY "+heads, []any{p}, func(line *costing.Posting) error {
		count(line, false)
		return nil
	})
	if err != nil {
		return err
	}
	running, err := weekPostings(f.Yard, f.Running)
	if err != nil {
		return err
	}
	for i := range running {
		if line := &running[i]; line.Period() == p {
			count(line, false)
		}
	}
	if f.Closed == 0 || p != f.Closed.Next() {
		return nil
	}
	adjusted, err := tx.adjustmentsNow(ctx, f)
	for i := range adjusted {
		count(&adjusted[i], true)
	}
	return err
}
