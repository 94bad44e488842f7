package models

import (
	"context"

	"hulltally/costing"
)

// FirstOpen is the first month that isn't closed and has anything booked, or
// would come next; 0 where nothing is booked.
func (tx *Tx) FirstOpen(ctx context.Context) (costing.Period, error) {
	closed, err := tx.ClosedThrough()
	if err != nil || closed != 0 {
		return closed.Next(), err
	}
	var first *int64
	err = tx.DB.WithContext(ctx).Raw("SELECT MIN(period) FROM postings").Row().Scan(&first)
	if err != nil || first == nil {
		return 0, err
	}
	return costing.Period(*first), nil
}

// LastDone says who did something last, by the logbook, and when; detail is
// text that its detail holds.
func (tx *Tx) LastDone(ctx context.Context, did, subject, detail string) (who string, at costing.Instant, err error) {
	var rows []LogbookRow
	err = tx.DB.WithContext(ctx).Order("seq DESC").Limit(1).Find(&rows, "did = ? AND subject = ? AND detail LIKE ?", did, subject, "%"+detail+"%").Error
	if err != nil || len(rows) == 0 {
		return "", 0, err
	}
	return rows[0].Who, rows[0].AtMs, nil
}

// EnteredBy says who last entered a row of a yard file whose key begins so.
func (tx *Tx) EnteredBy(ctx context.Context, file, key string) (who string, at costing.Instant, err error) {
	var rows []HistoryRow
	err = tx.DB.WithContext(ctx).Table("history").Order("seq DESC").Limit(1).Find(&rows, "file = ? AND row_key LIKE ?", file, key+"/%").Error
	if err != nil || len(rows) == 0 {
		return "", 0, err
	}
	return rows[0].Who, costing.Instant(rows[0].AtMs), nil
}
