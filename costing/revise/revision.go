// Package revise works with revisions of an estimate: what one comes to, how
// two differ line by line, a copy with changes, and a draft made of what past
// hulls took. A revision is priced by the same code as the reports, so that
// signing one changes no figure.
package revise

import (
	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Line is one line of a revision. Where the job is shared by several hulls the
// quantity is the whole batch's, as in the estimate.
type Line struct {
	Job, Stage, Part string
	Purpose          costing.Purpose
	Shares           []costing.ShareOf // none: the hull alone
	Element          costing.Element
	Key              string
	Quantity         costing.Quantity
	Waste            costing.Share
	Rate             costing.Price
}

// Revision is one state of a hull's estimate, with the price it was reckoned
// against. Day is the day whose absorption rates its hours bear.
type Revision struct {
	Hull          string
	Number        int
	Model, Basis  string
	Day           costing.Date
	Price         int64 // contract currency, millionths
	PriceCurrency string
	PriceRate     costing.Price
	Lines         []Line
}

// shares are the weights of a line's job.
func (r *Revision) shares(l *Line) []costing.ShareOf {
	if len(l.Shares) > 0 {
		return l.Shares
	}
	return []costing.ShareOf{{Hull: r.Hull, Weight: 1}}
}

// Yard is the yard with nothing in it but this estimate: what the reports would
// be made of on the day of signing.
func (r *Revision) Yard(y *costing.Yard) *costing.Yard {
	alone := *y
	alone.Hulls = map[string]*costing.Hull{r.Hull: {
		Key: r.Hull, Model: r.Model, Price: r.Price, PriceCurrency: r.PriceCurrency, PriceRate: r.PriceRate, Signed: r.Day,
	}}
	alone.Changes, alone.Jobs, alone.Estimate = nil, map[string]*costing.Job{}, nil
	for i := range r.Lines {
		l := &r.Lines[i]
		if alone.Jobs[l.Job] == nil {
			alone.Jobs[l.Job] = &costing.Job{Key: l.Job, Stage: l.Stage, Part: l.Part, Purpose: l.Purpose, Shares: r.shares(l)}
		}
		alone.Estimate = append(alone.Estimate, costing.EstimateLine{
			Job: l.Job, Element: l.Element, Key: l.Key, Quantity: l.Quantity, Waste: l.Waste, Rate: l.Rate,
		})
	}
	return &alone
}

// books are the rows and the margin of the reports, of a hull on which nothing
// was done yet.
func (r *Revision) books(y *costing.Yard) (*estimate.Plan, []variance.Row, *forecast.Margin, error) {
	alone := r.Yard(y)
	plan := estimate.Build(alone, r.Day)
	rows, err := variance.Rows(alone, plan, nil, costing.NewTotals())
	if err != nil {
		return nil, nil, nil, err
	}
	cells, err := forecast.Cells(plan, nil, rows)
	if err != nil {
		return nil, nil, nil, err
	}
	margins, err := forecast.Margins(alone, r.Day, rows, cells)
	if err != nil {
		return nil, nil, nil, err
	}
	for i := range margins {
		if margins[i].Hull == r.Hull {
			return plan, rows, &margins[i], nil
		}
	}
	return plan, rows, &forecast.Margin{Hull: r.Hull}, nil
}

// Of is a hull's estimate in the yard as a revision: the baseline, and with it,
// where asked for, the change orders agreed by the day.
func Of(y *costing.Yard, hull string, day costing.Date, changes bool) *Revision {
	r := &Revision{Hull: hull}
	if h := y.Hulls[hull]; h != nil {
		r.Model, r.Day, r.Price, r.PriceCurrency, r.PriceRate = h.Model, h.Signed, h.Price, h.PriceCurrency, h.PriceRate
	}
	for i := range y.Estimate {
		l := &y.Estimate[i]
		job := y.Jobs[l.Job]
		if job == nil || !shared(job, hull) {
			continue
		}
		order := l.Change
		if order == "" {
			order = job.Change
		}
		if order != "" {
			c := y.Changes[order]
			if !changes || c == nil || c.Hull != hull || !c.Counts(day) {
				continue
			}
		}
		line := Line{
			Job: l.Job, Stage: job.Stage, Part: job.Part, Purpose: job.Purpose,
			Element: l.Element, Key: l.Key, Quantity: l.Quantity, Waste: l.Waste, Rate: l.Rate,
		}
		if len(job.Shares) > 1 {
			line.Shares = job.Shares
		}
		r.Lines = append(r.Lines, line)
	}
	return r
}

func shared(job *costing.Job, hull string) bool {
	for _, s := range job.Shares {
		if s.Hull == hull {
			return true
		}
	}
	return false
}
