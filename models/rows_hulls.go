package models

import "hulltally/costing"

// StageRow is a row of stages.csv: a step of the build.
type StageRow struct {
	Stage string `gorm:"primaryKey" csv:"stage,key"`
	Name  string `csv:"name"`
	Order int    `gorm:"column:sequence" csv:"order"`
}

// OverheadRow is a row of overheads.csv: a stage's absorption rate per labour hour.
type OverheadRow struct {
	Stage string        `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	From  Day           `gorm:"column:from_date;primaryKey" csv:"from,key"`
	Rate  costing.Price `csv:"rate,nonneg"`
}

// HullRow is a row of hulls.csv: one boat and its contract.
type HullRow struct {
	Hull          string        `gorm:"primaryKey" csv:"hull,key,is=hull"`
	Model         string        `csv:"model"`
	Name          string        `csv:"name,opt"`
	Price         Decimal       `csv:"price,nonneg"`
	PriceCurrency string        `csv:"price_currency,is=currency"`
	PriceRate     costing.Price `csv:"price_rate,positive,max=1000000"`
	Signed        Day           `csv:"signed"`
	Due           Day           `csv:"due,opt"`
}

// JobRow is a row of jobs.csv: a piece of work of one hull, or shared by several.
type JobRow struct {
	Job         string         `gorm:"primaryKey" csv:"job,key,is=target"`
	Hull        string         `csv:"hull,opt,ref=hulls|tooling"`
	Stage       string         `csv:"stage,ref=stages"`
	Part        string         `csv:"part,opt"`
	Purpose     string         `csv:"purpose,oneof=build|change|rework|warranty"`
	Change      string         `csv:"change,opt,ref=changes"`
	Rush        bool           `csv:"rush,opt"`
	WasteFactor *costing.Share `csv:"waste_factor,opt,nonneg"`
	Shares      string         `csv:"shares,opt,is=shares"`
	Process     string         `csv:"process,opt,ref=processes"`
}

func (r *JobRow) check(bad func(column, reason string)) {
	switch {
	case r.Hull == "" && r.Shares == "":
		bad("hull", "is blank and so is shares: give one of them")
	case r.Hull != "" && r.Shares != "":
		bad("shares", "is given and so is hull: give one of them")
	}
}

// hulls lists the job's hulls with their weights.
func (r *JobRow) hulls() ([]costing.ShareOf, error) {
	if r.Shares == "" {
		return []costing.ShareOf{{Hull: r.Hull, Weight: 1}}, nil
	}
	return parseShares(r.Shares)
}

// ChangeRow is a row of changes.csv: a change order of a hull.
type ChangeRow struct {
	Change string  `gorm:"primaryKey" csv:"change,key"`
	Hull   string  `csv:"hull,ref=hulls"`
	Title  string  `csv:"title"`
	Price  Decimal `csv:"price"` // below 0 where the order takes work away
	Status string  `csv:"status,oneof=asked|quoted|agreed|declined"`
	Agreed Day     `csv:"agreed,opt"`
}

// EstimateRow is a row of estimate.csv. Ordinal tells lines of one job, change,
// element and key apart, in the order of the file.
type EstimateRow struct {
	Job          string           `gorm:"primaryKey" csv:"job,key,ref=jobs"`
	Change       string           `gorm:"primaryKey" csv:"change,opt,key,ref=changes"`
	Element      string           `gorm:"primaryKey" csv:"element,key,oneof=labour|material|bought-in"`
	Key          string           `gorm:"primaryKey" csv:"key,key"`
	Ordinal      int              `gorm:"primaryKey;autoIncrement:false" csv:"ordinal,hidden,key"`
	Quantity     costing.Quantity `csv:"quantity,nonneg"`
	Waste        *costing.Share   `csv:"waste,opt,nonneg"`
	StandardRate costing.Price    `csv:"standard_rate,nonneg"`
	Plies        *int             `csv:"plies,opt,range=1..1000"`
}

// BudgetRow is a row of budget.csv: a stage's weight budget.
type BudgetRow struct {
	Hull  string           `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Stage string           `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	Kg    costing.Quantity `csv:"kg,nonneg"`
}
