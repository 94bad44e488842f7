package models

import "hulltally/costing"

// StatedRow is a row of stated.csv: what an estimator says is still to be spent
// on an element of a hull's stage, with the reason. A later row of the same
// stands in its place; one without an amount takes it back.
type StatedRow struct {
	Hull       string          `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Stage      string          `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	Element    string          `gorm:"primaryKey" csv:"element,key,oneof=labour|material|bought-in|overhead"`
	Purpose    string          `gorm:"primaryKey" csv:"purpose,opt,key,oneof=build|rework,default=build"`
	At         costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	ToComplete *Decimal        `csv:"to_complete,opt,nonneg"`
	Spent      *Decimal        `csv:"spent,opt"` // by then; blank: the amount stands as it is
	Who        string          `csv:"who"`
	Why        string          `csv:"why"`
}

// engine is the statement in the engine's form.
func (r *StatedRow) engine(base costing.Currency) (costing.StatedRest, error) {
	s := costing.StatedRest{
		Hull: r.Hull, Stage: r.Stage, Element: costing.Element(r.Element), Apart: costing.Purpose(r.Purpose).Apart(),
		At: r.At, Who: r.Who, Why: r.Why,
	}
	for _, m := range []struct {
		from *Decimal
		to   **costing.Money
	}{{r.ToComplete, &s.Rest}, {r.Spent, &s.Spent}} {
		if m.from == nil {
			continue
		}
		v, err := base.FromDecimal(int64(*m.from))
		if err != nil {
			return s, err
		}
		*m.to = &v
	}
	return s, nil
}
