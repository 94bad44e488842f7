package models

import (
	"context"

	"hulltally/costing"
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
	paid, err := tx.Payroll(ctx, f, from, to)
	if err != nil {
		return nil, err
	}
	for i := range paid {
		paidTime.Left += paid[i].Seconds
		paidCost.Left += int64(paid[i].Cost())
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
	count := func(p *costing.Posting) {
		if p.Job == "" && p.Hull == "" && p.Element == costing.Labour && p.Date >= from && p.Date <= to {
			seconds += p.Seconds
		}
	}
	if f.derived {
		return seconds, tx.indirectBooked(ctx, f, count)
	}
	err = tx.DB.WithContext(ctx).Raw("SELECT CAST(COALESCE(SUM(seconds), 0) AS BIGINT) FROM "+booked(f.Closes)+
		" WHERE hull = '' AND element = 'labour' AND date >= ? AND date <= ?", from.String(), to.String()).Scan(&seconds).Error
	if err != nil {
		return 0, err
	}
	running, err := weekPostings(f.Yard, f.Running)
	for i := range running {
		p := running[i].Booked(f.Closed)
		count(&p)
	}
	return seconds, err
}

// indirectBooked hands over what is booked for time on indirect codes, where
// the books were computed for an instant of the past.
func (tx *Tx) indirectBooked(ctx context.Context, f *Figures, count func(*costing.Posting)) error {
	computed, err := weekPostings(f.Yard, f.pieces)
	if err != nil {
		return err
	}
	for i := range computed {
		p := computed[i].Booked(f.Closed)
		count(&p)
	}
	frozen, err := tx.frozenLines(ctx, "hull = '' AND element = 'labour' AND "+inForce(f.Closes))
	for i := range frozen {
		p := &frozen[i]
		count(p)
		back := p.Booked(f.Closed)
		back.Seconds = -back.Seconds
		count(&back)
	}
	return err
}
