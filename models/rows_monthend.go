package models

import (
	"hulltally/costing"
)

// TieSignatureRow is a row of tie_signatures.csv: a difference of a tie that
// somebody signed for, in currency units or whole seconds.
type TieSignatureRow struct {
	Period     string          `gorm:"primaryKey" csv:"period,key,is=period"`
	Tie        string          `gorm:"primaryKey" csv:"tie,key"`
	At         costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Difference Decimal         `csv:"difference"`
	Who        string          `csv:"who"`
	Why        string          `csv:"why"`
}

func (r *TieSignatureRow) check(bad func(column, reason string)) {
	switch r.Tie {
	case "ledger", "paid cost", "stock", "work in progress":
	case "paid time":
		if r.Difference%million != 0 {
			bad("difference", "is of time: give whole seconds")
		}
	default:
		bad("tie", "is no tie: take one of ledger, paid cost, paid time, stock, work in progress")
	}
}

// whole is the difference in seconds or minor units.
func (r *TieSignatureRow) whole(c costing.Currency, seconds bool) (int64, error) {
	if seconds {
		return int64(r.Difference) / million, nil
	}
	m, err := c.FromDecimal(int64(r.Difference))
	return int64(m), err
}

var tieSignaturesFile = newFile[TieSignatureRow]("tie_signatures")
