package models

import (
	"context"
	"strconv"

	"hulltally/costing"
)

// ChangeSteps lists the steps of a change order, or of all, in their order.
func (tx *Tx) ChangeSteps(ctx context.Context, change string) ([]ChangeStepRow, error) {
	var rows []ChangeStepRow
	q := tx.DB.WithContext(ctx).Order("change, at_ms")
	if change != "" {
		q = q.Where("change = ?", change)
	}
	return rows, q.Find(&rows).Error
}

// ChangeMove is a step that a person enters.
type ChangeMove struct {
	Change, Hull, Title string // hull and title of a new order
	Status              string
	Price               Decimal
	Days                int
	Agreed              Day // the day of agreement; only where it is agreed
	Said, Why           string
}

// MoveChange enters a step of a change order, a new one too. The order and its
// history are written together.
func (s *Store) MoveChange(ctx context.Context, m ChangeMove, opts LoadOptions) error {
	return s.InTx(ctx, func(tx *Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		row := ChangeRow{Change: m.Change, Hull: m.Hull, Title: m.Title, Price: m.Price, Status: m.Status, Agreed: m.Agreed}
		if c := snap.Yard.Changes[m.Change]; c != nil {
			if m.Hull != "" {
				return Errorf(Conflict, "there is a change order %s already: give the new one another number", m.Change)
			}
			row.Hull, row.Title = c.Hull, c.Title
		} else if m.Hull == "" {
			return Errorf(NotFound, "there is no change order %.40q", m.Change)
		}
		if row.Agreed != "" && m.Status != string(costing.Agreed) {
			row.Agreed = ""
		}
		files, err := FilesOf(row, ChangeStepRow{
			Change: m.Change, AtMs: opts.Now, Status: m.Status, Price: m.Price, Days: m.Days, Said: m.Said, Why: m.Why, Who: opts.Who,
		})
		if err != nil {
			return err
		}
		opts.Did, opts.Subject, opts.Why = "moved a change order to "+m.Status, m.Change, m.Why
		if m.Days != 0 {
			opts.Why += ", " + strconv.Itoa(m.Days) + " days"
		}
		_, err = tx.Enter(ctx, files, opts)
		return err
	})
}
