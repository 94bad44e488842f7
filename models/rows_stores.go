package models

import "hulltally/costing"

// DeliveryRow is a row of deliveries.csv: one arrival of goods, whose lots name it.
type DeliveryRow struct {
	Delivery string          `gorm:"primaryKey" csv:"delivery,key"`
	Received costing.Instant `gorm:"column:received_ms" csv:"received"`
	Supplier string          `csv:"supplier,opt"`
	Note     string          `csv:"note,opt"`
}

// The ways of sharing a landed cost over a delivery's lots.
const (
	ShareByValue = "value"
	ShareByMass  = "mass"
)

// LandedRow is a row of landed.csv: freight, customs or another cost of
// bringing a delivery here, shared over its lots.
type LandedRow struct {
	Delivery string          `gorm:"primaryKey" csv:"delivery,key,ref=deliveries"`
	At       costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	What     string          `gorm:"primaryKey" csv:"what,key"`
	Amount   costing.Price   `csv:"amount,nonneg"`
	Currency string          `csv:"currency,opt,is=currency"`
	FX       *costing.Price  `gorm:"column:fx" csv:"fx,opt,positive,max=1000000"`
	ShareBy  string          `csv:"share_by,oneof=value|mass"`
}

func (r *LandedRow) foreign() (int64, string, *costing.Price) {
	return int64(r.Amount), r.Currency, r.FX
}

// FXRow is a row of fx.csv: base currency per unit of another, from a day on.
type FXRow struct {
	Currency string        `gorm:"primaryKey" csv:"currency,key,is=currency"`
	From     Day           `gorm:"column:from_date;primaryKey" csv:"from,key"`
	Rate     costing.Price `csv:"rate,positive,max=1000000"`
}

// The kinds of a hold.
const (
	PutOnHold = "hold"
	Released  = "release"
)

// HoldRow is a row of holds.csv: a lot goes into quarantine, or out of it.
type HoldRow struct {
	Lot  string          `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	At   costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Kind string          `csv:"kind,oneof=hold|release"`
	Who  string          `csv:"who"`
	Why  string          `csv:"why"`
}

// PaymentRow is a row of payments.csv: what was paid of a lot, or of a
// purchase document.
type PaymentRow struct {
	Payment  string         `gorm:"primaryKey" csv:"payment,key"`
	Lot      string         `gorm:"primaryKey" csv:"lot,opt,key,ref=lots"`
	Document string         `gorm:"primaryKey" csv:"document,opt,key,ref=bought"`
	Date     Day            `csv:"date"`
	Amount   Decimal        `csv:"amount,nonneg"`
	Currency string         `csv:"currency,opt,is=currency"`
	FX       *costing.Price `gorm:"column:fx" csv:"fx,opt,positive,max=1000000"`
}

func (r *PaymentRow) foreign() (int64, string, *costing.Price) {
	return int64(r.Amount), r.Currency, r.FX
}

func (r *PaymentRow) check(bad func(column, reason string)) {
	if (r.Lot == "") == (r.Document == "") {
		bad("lot", "give the lot or the purchase document that was paid: one of the two")
	}
}

// CountSheetRow is a row of count_sheets.csv: a count of one place, or with a
// blank place of everything.
type CountSheetRow struct {
	Sheet  string          `gorm:"primaryKey" csv:"sheet,key"`
	Place  string          `csv:"place,opt"`
	Opened costing.Instant `gorm:"column:opened_ms" csv:"opened"`
	Who    string          `csv:"who"`
}

// TallyRow is a row of tallies.csv: what somebody counted of a lot on a sheet,
// the first or a second time. It moves no stock until the sheet is posted.
type TallyRow struct {
	Sheet    string           `gorm:"primaryKey" csv:"sheet,key,ref=count_sheets"`
	Lot      string           `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	Round    int64            `gorm:"primaryKey;autoIncrement:false" csv:"round,key,range=1..9"`
	At       costing.Instant  `gorm:"column:at_ms" csv:"at"`
	Quantity costing.Quantity `csv:"quantity,nonneg"`
	Who      string           `csv:"who"`
}
