package models

import "hulltally/costing"

// BoughtRow is a row of bought.csv: a purchase charged straight to a hull.
type BoughtRow struct {
	Document    string         `gorm:"primaryKey" csv:"document,key"`
	Date        Day            `csv:"date"`
	Hull        string         `gorm:"primaryKey" csv:"hull,key,ref=hulls|tooling"`
	Stage       string         `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	Description string         `gorm:"primaryKey" csv:"description,key"`
	Amount      Decimal        `csv:"amount"` // below 0: a credit note
	Currency    string         `csv:"currency,opt,is=currency"`
	FX          *costing.Price `gorm:"column:fx" csv:"fx,opt,positive,max=1000000"`
	Purpose     string         `csv:"purpose,opt,oneof=build|change|rework|warranty,default=build"`
}

func (r *BoughtRow) foreign() (int64, string, *costing.Price) {
	return int64(r.Amount), r.Currency, r.FX
}

// BillingRow is a row of billing.csv: a claim on the hull's customer.
type BillingRow struct {
	Hull        string  `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Date        Day     `gorm:"primaryKey" csv:"date,key"`
	Description string  `gorm:"primaryKey" csv:"description,key"`
	Amount      Decimal `csv:"amount"` // below 0: a credit note
}

// The kinds of correction.
const (
	AddEntry  = "add"
	VoidEntry = "void"
)

// CorrectionRow is a row of corrections.csv: an entry added, or the worker's
// entry at exactly that instant voided.
type CorrectionRow struct {
	Worker string          `gorm:"primaryKey" csv:"worker,key,ref=workers"`
	At     costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Kind   string          `gorm:"primaryKey" csv:"kind,key,oneof=add|void"`
	Target string          `gorm:"primaryKey" csv:"target,opt,key"`
	Who    string          `csv:"who"`
	Why    string          `csv:"why"`
}

func (r *CorrectionRow) check(bad func(column, reason string)) {
	if r.Kind == AddEntry && r.Target == "" {
		bad("target", "is blank: name the job, the indirect code or off")
	}
}

// CodeRow is a row of codes.csv: a printed code and what it stands for. At most
// one code of a thing is in force; revoked ones stay known.
type CodeRow struct {
	Kind      string           `csv:"kind,oneof=worker|crew|job|lot|indirect|off|done|progress|return|waste|scrap|undo|cancel|check|problem"`
	Key       string           `csv:"key,blank"`
	Payload   string           `gorm:"primaryKey" csv:"payload,key,is=payload"`
	IssuedMs  costing.Instant  `gorm:"column:issued_ms" csv:"issued,opt"`
	RevokedMs *costing.Instant `gorm:"column:revoked_ms" csv:"revoked,opt"`
}

// ReadRow is a row of reads.csv: one thing a scanner sent.
type ReadRow struct {
	ID      string          `csv:"id,key,is=uuid"`
	Station string          `csv:"station"`
	N       int64           `csv:"n"`
	At      costing.Instant `csv:"at"`
	Payload string          `csv:"payload,blank,is=raw"`

	Flag string // what a person should look at; in no file
}
