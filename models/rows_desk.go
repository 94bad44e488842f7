package models

import "hulltally/costing"

// LotPlaceRow is a row of lot_places.csv: where a lot was put. The last one holds.
type LotPlaceRow struct {
	Lot   string          `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	At    costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Place string          `csv:"place"`
	Who   string          `csv:"who,opt"`
}

// The kinds of reason.
const (
	ReasonExpired = "expired" // a lot was issued past its date
	ReasonScrap   = "scrap"   // stock was written off
)

// StockReasonRow is a row of stock_reasons.csv: why something was done with a
// lot at a station. Station, instant and lot are those of the read that did it,
// so that a reason may be given before, with or after it, and by somebody else.
type StockReasonRow struct {
	Station string          `gorm:"primaryKey" csv:"station,key"`
	At      costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Lot     string          `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	Kind    string          `gorm:"primaryKey" csv:"kind,key,oneof=expired|scrap"`
	Reason  string          `csv:"reason"`
	Who     string          `csv:"who,opt"`
}

// TradeNumberRow is a row of trade_numbers.csv: which item a supplier's trade
// number stands for, so that the next delivery needs only a scan.
type TradeNumberRow struct {
	GTIN string `gorm:"column:gtin;primaryKey" csv:"gtin,key,is=gtin"`
	Item string `csv:"item,ref=items"`
}
