package models

import "hulltally/costing"

// ProcessRow is a row of processes.csv: a way of making laminates and the band
// of its fibre mass fraction. A process known by its key has a band to fall
// back on.
type ProcessRow struct {
	Process string         `gorm:"primaryKey" csv:"process,key"`
	Name    string         `csv:"name,opt"`
	Low     *costing.Share `csv:"low,opt,positive,max=1"`
	High    *costing.Share `csv:"high,opt,positive,max=1"`
	Source  string         `csv:"source,opt"`
}

func (r *ProcessRow) check(bad func(column, reason string)) {
	_, common := costing.CommonBand(r.Process)
	switch {
	case r.Low == nil && r.High == nil && common:
	case r.Low == nil:
		bad("low", "is blank: give the least and the largest share of fibre by mass, such as 0.55 and 0.65")
	case r.High == nil:
		bad("high", "is blank: give the least and the largest share of fibre by mass, such as 0.55 and 0.65")
	case *r.Low >= *r.High:
		bad("high", "is not above low: give the least share of fibre by mass first")
	}
}

// engine is the process in the engine's form: what the row doesn't say is the
// common band's.
func (r *ProcessRow) engine() *costing.Process {
	p, _ := costing.CommonBand(r.Process)
	p.Key = r.Process
	if r.Low != nil {
		p.Low, p.High, p.Source = *r.Low, *r.High, "the yard's own"
	}
	if r.Name != "" {
		p.Name = r.Name
	}
	if p.Name == "" {
		p.Name = r.Process
	}
	if r.Source != "" {
		p.Source = r.Source
	}
	return &p
}
