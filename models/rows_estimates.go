package models

import (
	"strings"

	"hulltally/costing"
)

// RevisionRow is a row of revisions.csv: one state of a hull's estimate and the
// price it was reckoned against. It is never changed; the next state is another
// revision. The hull need not be sold yet.
type RevisionRow struct {
	Hull          string          `gorm:"primaryKey" csv:"hull,key,is=hull"`
	Revision      int             `gorm:"primaryKey;autoIncrement:false" csv:"revision,key,range=1..100000"`
	Model         string          `csv:"model,opt"`
	Basis         string          `csv:"basis"` // where the lines came from
	Day           Day             `csv:"day"`   // whose absorption rates the hours bear
	Price         Decimal         `csv:"price,nonneg"`
	PriceCurrency string          `csv:"price_currency,is=currency"`
	PriceRate     costing.Price   `csv:"price_rate,positive,max=1000000"`
	MadeMs        costing.Instant `gorm:"column:made_ms" csv:"made"`
	Who           string          `csv:"who"`
}

// RevisionLineRow is a row of revision_lines.csv.
type RevisionLineRow struct {
	Hull         string           `gorm:"primaryKey" csv:"hull,key,is=hull"`
	Revision     int              `gorm:"primaryKey;autoIncrement:false" csv:"revision,key,range=1..100000"`
	Line         int              `gorm:"primaryKey;autoIncrement:false" csv:"line,key,range=1..100000"`
	Job          string           `csv:"job,is=target"`
	Stage        string           `csv:"stage,ref=stages"`
	Part         string           `csv:"part,opt"`
	Purpose      string           `csv:"purpose,opt,oneof=build|change|rework|warranty,default=build"`
	Shares       string           `csv:"shares,opt,is=shares"`
	Element      string           `csv:"element,oneof=labour|material|bought-in"`
	Key          string           `csv:"key"`
	Quantity     costing.Quantity `csv:"quantity,nonneg"`
	Waste        *costing.Share   `csv:"waste,opt,nonneg"`
	StandardRate costing.Price    `csv:"standard_rate,nonneg"`
}

// BaselineRow is a row of baselines.csv: the revision that a hull was signed on
// and what it came to. From then on the hull's estimate changes by change
// orders alone.
type BaselineRow struct {
	Hull     string  `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Revision int     `csv:"revision,range=1..100000"`
	Frozen   Day     `csv:"frozen"`
	Cost     Decimal `csv:"cost,nonneg"`
	Who      string  `csv:"who"`
}

// HeadingRow is a row of headings.csv: what a column of the yard's own lists is
// here, mapped once. A blank field is a column that is left out.
type HeadingRow struct {
	Form    string `gorm:"primaryKey" csv:"form,key"`
	Heading string `gorm:"primaryKey" csv:"heading,key"`
	Field   string `csv:"field,blank"`
}

// ChangeStepRow is a row of change_steps.csv: a change order asked, quoted,
// agreed or declined, with whose word it was and why. Price and days are the
// order's as of that step; days are how much later the hull is done.
type ChangeStepRow struct {
	Change string          `gorm:"primaryKey" csv:"change,key,ref=changes"`
	AtMs   costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Status string          `csv:"status,oneof=asked|quoted|agreed|declined"`
	Price  Decimal         `csv:"price"`
	Days   int             `csv:"days,opt,range=-10000..10000"`
	Said   string          `csv:"said,personal"`
	Why    string          `csv:"why"`
	Who    string          `csv:"who"`
}

// ToolRow is a row of tooling.csv: a plug, mould, jig or design, made once for
// several hulls. Jobs and purchases name it where they would name a hull.
type ToolRow struct {
	Tool        string `gorm:"primaryKey" csv:"tool,key,is=hull"`
	Name        string `csv:"name"`
	Kind        string `csv:"kind,oneof=plug|mould|jig|design|other"`
	Begun       Day    `csv:"begun"`
	PlannedUses int    `csv:"planned_uses,range=0..100000"`
}

// ToolUseRow is a row of tool_uses.csv: how often a hull uses a tool, and since
// when; without a day the uses are planned.
type ToolUseRow struct {
	Tool string `gorm:"primaryKey" csv:"tool,key,ref=tooling"`
	Hull string `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Uses int    `csv:"uses,range=0..100000"`
	Used Day    `csv:"used,opt"`
}

// PredecessorRow is a row of predecessors.csv: the stages usually done before
// one, parted by semicolons.
type PredecessorRow struct {
	Stage string `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	After string `gorm:"column:comes_after" csv:"after,blank,is=after"`
}

// list are the stages of the cell.
func (r *PredecessorRow) list() []string {
	if r.After == "" {
		return nil
	}
	return strings.Split(r.After, ";")
}
