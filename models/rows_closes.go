package models

import (
	"context"

	"hulltally/costing"
)

// CloseRow is a row of closes.csv: a month closed, or opened again by two
// people. Rows are only ever added.
type CloseRow struct {
	Period string          `gorm:"primaryKey" csv:"period,key,is=period"`
	At     costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Kind   string          `csv:"kind,oneof=close|ask|reopen"`
	Who    string          `csv:"who"`
	Second string          `csv:"second,opt,personal"` // who agreed to opening it again
	Why    string          `csv:"why,opt"`
	Digest string          `csv:"digest,opt"` // of what was frozen
}

func (r *CloseRow) check(bad func(column, reason string)) {
	switch costing.CloseKind(r.Kind) {
	case costing.Closed:
		if r.Digest == "" {
			bad("digest", "is blank: a month is closed by hulltally close, which says what it froze")
		}
	case costing.AskReopen:
		if r.Why == "" {
			bad("why", "is blank: say why the month has to be opened again")
		}
	case costing.Reopened:
		switch r.Second {
		case "":
			bad("second", "is blank: two people open a month again")
		case r.Who:
			bad("second", "is "+r.Who+", who asked for it: another person has to agree")
		}
	}
}

func yardCloses(ctx context.Context, tx *Tx, y *costing.Yard) error {
	rows, err := tx.closeRows(ctx)
	if err != nil {
		return err
	}
	for i := range rows {
		c, err := rows[i].engine()
		if err != nil {
			return err
		}
		y.Closes = append(y.Closes, c)
	}
	return nil
}

// closeRows reads the closes in order of their instants.
func (tx *Tx) closeRows(ctx context.Context) ([]CloseRow, error) {
	var rows []CloseRow
	err := tx.DB.WithContext(ctx).Order("at_ms").Find(&rows).Error
	return rows, err
}

func (r *CloseRow) engine() (costing.Close, error) {
	p, err := costing.ParsePeriod(r.Period)
	return costing.Close{
		Period: p, At: r.At, Kind: costing.CloseKind(r.Kind), Who: r.Who, Second: r.Second, Why: r.Why, Digest: r.Digest,
	}, err
}

// ClosedThrough is the last month closed, 0 where none is. What is dated in it
// or before stands; whatever would change it is booked in the month after.
func (tx *Tx) ClosedThrough() (costing.Period, error) {
	snap, err := tx.Snapshot(tx.DB.Statement.Context)
	if err != nil {
		return 0, err
	}
	return snap.Yard.Closes.Through(endOfTime), nil
}
