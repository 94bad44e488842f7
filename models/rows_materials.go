package models

import "hulltally/costing"

// ItemRow is a row of items.csv: a material the stores keep.
type ItemRow struct {
	Item          string         `gorm:"primaryKey" csv:"item,key"`
	Name          string         `csv:"name"`
	StockUnit     string         `csv:"stock_unit,is=stockunit"`
	CostMethod    string         `csv:"cost_method,oneof=lot|average"`
	StandardPrice costing.Price  `csv:"standard_price,nonneg"`
	WasteMode     string         `csv:"waste_mode,oneof=measured|factored"`
	WasteFactor   *costing.Share `csv:"waste_factor,opt,nonneg"`
	KgPerUnit     *Decimal       `csv:"kg_per_unit,opt,nonneg,max=1000000"`
	AboardShare   *costing.Share `csv:"aboard_share,opt,nonneg,max=1"`
	Role          string         `csv:"role,oneof=fibre|resin|hardener|core|consumable|other"`
	RollWidthM    *Decimal       `gorm:"column:roll_width_m" csv:"roll_width_m,opt,positive,max=1000000"`
	SheetM2       *Decimal       `gorm:"column:sheet_m2" csv:"sheet_m2,opt,positive,max=1000000"`
	KgPerLitre    *Decimal       `csv:"kg_per_litre,opt,positive,max=1000"`
	Hardener      string         `csv:"hardener,opt,ref=items"`
	HardenerParts *Decimal       `csv:"hardener_parts,opt,positive,max=100000"`
	OpenLifeDays  int64          `csv:"open_life_days,opt,default=0,range=0..36500"`
	Whole         bool           `csv:"whole,opt"`
}

func (r *ItemRow) check(bad func(column, reason string)) {
	switch {
	case r.Hardener != "" && r.HardenerParts == nil:
		bad("hardener_parts", "is blank: give the hardener's parts by weight per 100 parts")
	case r.Hardener == "" && r.HardenerParts != nil:
		bad("hardener", "is blank: name the hardener's item, or leave hardener_parts blank too")
	case r.Hardener == r.Item:
		bad("hardener", "is the item itself: name another item")
	case r.Whole && (r.StockUnit != string(costing.Each) || r.WasteMode != string(costing.Measured)):
		bad("whole", "is yes, which is for items kept in C62 and measured: a factor would make parts of them")
	}
}

// WasteFactorRow is a row of waste_factors.csv: an item's waste factor from a
// day on; before the first one the item's own holds.
type WasteFactorRow struct {
	Item   string        `gorm:"primaryKey" csv:"item,key,ref=items"`
	From   Day           `gorm:"column:from_date;primaryKey" csv:"from,key"`
	Factor costing.Share `csv:"factor,nonneg"`
}

// LotRow is a row of lots.csv: one delivery of an item, in the unit it came in.
type LotRow struct {
	Lot           string           `gorm:"primaryKey" csv:"lot,key"`
	Item          string           `csv:"item,ref=items"`
	Received      costing.Instant  `gorm:"column:received_ms" csv:"received"`
	Quantity      costing.Quantity `csv:"quantity,positive"`
	Unit          string           `csv:"unit,opt,is=unit"`
	Price         costing.Price    `csv:"price,nonneg"`
	Currency      string           `csv:"currency,opt,is=currency"`
	FX            *costing.Price   `gorm:"column:fx" csv:"fx,opt,positive,max=1000000"`
	Landed        *costing.Price   `csv:"landed,opt,nonneg"`
	Expires       Day              `csv:"expires,opt"`
	SupplierBatch string           `csv:"supplier_batch,opt"`
	// AwaitsInvoice: the price is the item's standard price until an invoice
	// states the true one.
	AwaitsInvoice bool   `csv:"awaits_invoice,opt"`
	Delivery      string `csv:"delivery,opt,ref=deliveries"`
	Parent        string `csv:"parent,opt,ref=lots"`
	FromJob       string `csv:"from_job,opt,ref=jobs"`
}

// check: what an offcut cost, the lot it was cut from says.
func (r *LotRow) check(bad func(column, reason string)) {
	switch {
	case r.Parent == "" && r.FromJob != "":
		bad("from_job", "is for offcuts: name the parent lot too, or leave it blank")
	case r.Parent == "":
	case r.Parent == r.Lot:
		bad("parent", "is the lot itself: name the lot it was cut from")
	case r.Price != 0 || r.Landed != nil && *r.Landed != 0 || r.Currency != "" || r.FX != nil:
		bad("price", "must be 0 and without currency, since an offcut takes its share of its parent's cost")
	case r.Delivery != "":
		bad("delivery", "is for what came in: an offcut was cut here, so leave it blank")
	}
}

func (r *LotRow) foreign() (int64, string, *costing.Price) { return int64(r.Price), r.Currency, r.FX }

// InvoiceRow is a row of invoices.csv: it restates what a lot cost.
type InvoiceRow struct {
	Lot      string          `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	At       costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Price    costing.Price   `csv:"price,nonneg"`
	Currency string          `csv:"currency,opt,is=currency"`
	FX       *costing.Price  `gorm:"column:fx" csv:"fx,opt,positive,max=1000000"`
	Landed   *costing.Price  `csv:"landed,opt,nonneg"`
}

func (r *InvoiceRow) foreign() (int64, string, *costing.Price) {
	return int64(r.Price), r.Currency, r.FX
}

// CountRow is a row of counts.csv: what was physically there of a lot.
type CountRow struct {
	Lot      string           `gorm:"primaryKey" csv:"lot,key,ref=lots"`
	At       costing.Instant  `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Quantity costing.Quantity `csv:"quantity,nonneg"`
	Sheet    string           `csv:"sheet,opt"`
	Who      string           `csv:"who,opt"`
}
