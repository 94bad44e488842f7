package models

import (
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
)

// MonthEnd gives the books as of a month's end by all that is known now: what
// a close freezes. It differs from Figures as of that instant, which leaves out
// what was dated later: an invoice of the next week for goods of this month
// belongs to this month while its books are open.
//
// Decision: a booking that runs over the month's end, or that nobody has ended,
// is accrued: what was worked up to the last midnight of the month is in the
// month, by the rule of provisional bookings where that applies. The first day
// of the next month takes the accrual back, and what the booking comes to once
// it ends is booked there; where that is the same, nothing is left.
func (tx *Tx) MonthEnd(ctx context.Context, p costing.Period, now costing.Instant) (*Figures, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	y := snap.Yard
	f := &Figures{At: now, Yard: y, asOf: endOfTime, Closes: y.Closes.InForce(endOfTime), Closed: y.Closes.Through(endOfTime)}
	if err := tx.keptFigures(ctx, snap, f); err != nil {
		return nil, err
	}
	end := p.Next().First()
	f.At, f.Day = end.At(0, y.Zone)-1, end-1
	f.Totals.Through(p)
	f.Running = slices.DeleteFunc(f.Running, func(piece clock.Piece) bool { return piece.Date > f.Day })
	if err := tx.statedBy(f); err != nil {
		return nil, err
	}
	return f, tx.stockAtEnd(snap, f)
}

// statedBy is the progress stated by the end of the figures.
func (tx *Tx) statedBy(f *Figures) error {
	var rows []entryRecord
	if err := tx.DB.Find(&rows, "kind = 'progress' AND voided_by = '' AND at_ms <= ?", f.At).Error; err != nil {
		return err
	}
	f.Stated = recost.Stated(entriesOf(rows))
	return nil
}

// stockAtEnd folds the stock units up to the end of the figures, at what the
// lots are known to have cost now.
func (tx *Tx) stockAtEnd(snap *Snapshot, f *Figures) error {
	var rows []entryRecord
	if err := tx.DB.Find(&rows, "lot <> '' AND voided_by = '' AND at_ms <= ?", f.At).Error; err != nil {
		return err
	}
	f.Books = map[stock.Unit]*stock.Book{}
	c := stock.Costing{Yard: snap.Yard, AsOf: endOfTime}
	for u, events := range recost.Units(snap.Yard, entriesOf(rows), f.At) {
		book := &stock.Book{}
		for _, e := range events {
			if _, err := c.Apply(book, e); err != nil {
				return err
			}
		}
		f.Books[u] = book
	}
	return nil
}
