package models

import (
	"context"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Tie holds one side of the books against another.
type Tie struct {
	Name        string
	Seconds     bool // a tie of time; otherwise of money
	Left, Right int64
}

// Ties works out the ties of what is dated within two days, both included:
//
//	paid time     what payroll pays = booked + indirect time
//	paid cost     what payroll pays = what was charged for it
//	stock         receipts − charges by the books = what the lots are worth (as of the figures)
//	work in progress   the account = the cost of all hulls (as of the figures)
//	ledger        debits = credits
func (tx *Tx) Ties(ctx context.Context, f *Figures, from, to costing.Date) ([]Tie, error) {
	paidTime, paidCost := Tie{Name: "paid time", Seconds: true}, Tie{Name: "paid cost"}
	err := tx.Pieces(f, from, to, func(p *clock.Piece) error {
		paidTime.Left += p.Seconds
		paidCost.Left += int64(p.Base + p.OnCost + p.Premium + p.PremiumOnCost)
		return nil
	})
	if err != nil {
		return nil, err
	}
	worth := Tie{Name: "stock"}
	wip, ledger := Tie{Name: "work in progress"}, Tie{Name: "ledger"}
	for u := range f.Books {
		worth.Right += int64(f.Worth(u))
	}
	for k, m := range f.Totals.Ledger {
		switch k.Account {
		case costing.Stock:
			worth.Left += int64(m)
		case costing.WorkInProgress:
			wip.Left += int64(m)
		case costing.WagesPayable, costing.OnCostsPayable:
			if k.Period >= from.Period() && k.Period <= to.Period() {
				paidCost.Right -= int64(m)
			}
		}
		if m > 0 {
			ledger.Left += int64(m)
		} else {
			ledger.Right -= int64(m)
		}
	}
	for k, s := range f.Totals.Cells {
		wip.Right += int64(s.Amount)
		if k.Element == costing.Labour && k.Period >= from.Period() && k.Period <= to.Period() {
			paidTime.Right += s.Seconds
		}
	}
	indirect, err := tx.indirectSeconds(ctx, f, from, to)
	paidTime.Right += indirect
	return []Tie{ledger, paidCost, paidTime, worth, wip}, err
}

// indirectSeconds is the time booked to overhead, from the postings.
func (tx *Tx) indirectSeconds(ctx context.Context, f *Figures, from, to costing.Date) (seconds int64, err error) {
	count := func(pieces []clock.Piece) error {
		ps, err := weekPostings(f.Yard, pieces)
		for i := range ps {
			if ps[i].Job == "" && ps[i].Hull == "" && ps[i].Date >= from && ps[i].Date <= to {
				seconds += ps[i].Seconds
			}
		}
		return err
	}
	if f.derived {
		return seconds, count(f.pieces)
	}
	err = tx.DB.WithContext(ctx).Raw("SELECT COALESCE(SUM(seconds), 0) FROM postings WHERE hull = '' AND element = 'labour' AND date >= ? AND date <= ?",
		from.String(), to.String()).Scan(&seconds).Error
	if err != nil {
		return 0, err
	}
	err = count(f.Running)
	return seconds, err
}
