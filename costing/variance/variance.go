// Package variance sets actual cost against the cost that the work done so far
// was allowed, and splits the difference by cause. Adverse is positive. The
// variances of a row add up to actual − allowed, to the cent.
package variance

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Cause names a variance.
type Cause string

// The causes.
const (
	LabourRate         Cause = "labour_rate"
	LabourEfficiency   Cause = "labour_efficiency"
	MaterialPrice      Cause = "material_price"
	MaterialUsage      Cause = "material_usage"
	MaterialWaste      Cause = "material_waste"
	MaterialTakeOff    Cause = "material_take_off"
	Mix                Cause = "mix"
	Yield              Cause = "yield"
	Unplanned          Cause = "unplanned"
	OverheadEfficiency Cause = "overhead_efficiency"
	BoughtIn           Cause = "bought_in"
	Rework             Cause = "rework"
)

// Causes lists every cause in the order they are shown.
var Causes = []Cause{
	LabourRate, LabourEfficiency, MaterialPrice, MaterialUsage, MaterialWaste, MaterialTakeOff,
	Mix, Yield, Unplanned, OverheadEfficiency, BoughtIn, Rework,
}

// Row is one element of one purpose in a hull's stage.
type Row struct {
	Hull, Stage               string
	Element                   costing.Element
	Purpose                   costing.Purpose
	Seconds                   int64
	Estimate, Allowed, Actual costing.Money
	Variances                 map[Cause]costing.Money
	Items                     []ItemRow // of a material row, by item
}

// ItemRow is one material of a row.
type ItemRow struct {
	Item                      string
	Planned                   bool
	Quantity, Net, Waste      costing.Quantity
	EstimateNet               costing.Quantity
	EstimateGross             costing.Quantity
	Estimate, Allowed, Actual costing.Money
	Variances                 map[Cause]costing.Money
}

type rowKey struct {
	estimate.Key
	element costing.Element
}

type detailKey struct {
	estimate.Key
	job, detail string
}

// facts are the totals of all months, by what the variances ask for.
type facts struct {
	cells    map[rowKey]costing.Sums
	labour   map[estimate.Key]map[detailKey]int64
	material map[estimate.Key]map[string]costing.Sums
}

// Rows works every row out, sorted by hull, stage, element and purpose.
func Rows(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, totals *costing.Totals) ([]Row, error) {
	f := gather(y, totals)
	keys := map[estimate.Key]bool{}
	for k := range plan.Rows {
		keys[k] = true
	}
	for k := range f.cells {
		keys[k.Key] = true
	}
	var rows []Row
	for k := range keys {
		c := &calc{y: y, plan: plan, facts: f, key: k, row: plan.Rows[k]}
		c.progress = plan.Stage(costing.HullStage{Hull: k.Hull, Stage: k.Stage}, stated)
		for _, el := range []costing.Element{costing.Labour, costing.Material, costing.BoughtIn, costing.Overhead} {
			r, err := c.element(el)
			if err != nil {
				return nil, err
			}
			if r.Estimate != 0 || r.Actual != 0 || r.Seconds != 0 || len(r.Items) > 0 {
				rows = append(rows, r)
			}
		}
	}
	slices.SortFunc(rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage),
			cmp.Compare(a.Element, b.Element), cmp.Compare(a.Purpose, b.Purpose))
	})
	return rows, nil
}

func gather(y *costing.Yard, t *costing.Totals) *facts {
	f := &facts{map[rowKey]costing.Sums{}, map[estimate.Key]map[detailKey]int64{}, map[estimate.Key]map[string]costing.Sums{}}
	for cell, s := range t.Cells {
		k := rowKey{estimate.Key{Hull: cell.Hull, Stage: cell.Stage, Purpose: cell.Purpose}, cell.Element}
		sum := f.cells[k]
		sum.Seconds += s.Seconds
		sum.Amount += s.Amount
		f.cells[k] = sum
	}
	for fine, s := range t.Fine {
		job := y.Jobs[fine.Job]
		if job == nil {
			continue
		}
		k := estimate.Key{Hull: fine.Hull, Stage: job.Stage, Purpose: job.Purpose}
		switch fine.Element {
		case costing.Labour:
			if f.labour[k] == nil {
				f.labour[k] = map[detailKey]int64{}
			}
			f.labour[k][detailKey{k, fine.Job, fine.Detail}] += s.Seconds
		case costing.Material:
			if f.material[k] == nil {
				f.material[k] = map[string]costing.Sums{}
			}
			f.material[k][fine.Detail] = f.material[k][fine.Detail].Plus(s)
		}
	}
	return f
}

// calc works the rows of one key out.
type calc struct {
	y        *costing.Yard
	plan     *estimate.Plan
	facts    *facts
	key      estimate.Key
	row      *estimate.Row // nil: nothing is estimated here
	progress *big.Rat
	err      error
}

func (c *calc) element(el costing.Element) (Row, error) {
	sum := c.facts.cells[rowKey{c.key, el}]
	r := Row{
		Hull: c.key.Hull, Stage: c.key.Stage, Purpose: c.key.Purpose, Element: el,
		Seconds: sum.Seconds, Actual: sum.Amount, Variances: map[Cause]costing.Money{},
	}
	if el == costing.Material {
		c.material(&r)
	} else if exact := c.exact(el); exact != nil {
		r.Estimate, r.Allowed = c.round(exact), c.allowed(exact)
	}
	switch {
	case c.key.Purpose.Apart():
		r.Variances = map[Cause]costing.Money{Rework: r.Actual - r.Allowed}
	case el == costing.Labour:
		standard := c.standardLabour()
		r.Variances[LabourRate] = r.Actual - standard
		r.Variances[LabourEfficiency] = standard - r.Allowed
	case el == costing.Overhead:
		r.Variances[OverheadEfficiency] = r.Actual - r.Allowed
	case el == costing.BoughtIn:
		r.Variances[BoughtIn] = r.Actual - r.Allowed
	}
	return r, c.err
}

// exact is the unrounded estimate of an element that is rounded per row.
func (c *calc) exact(el costing.Element) *big.Rat {
	if c.row == nil {
		return nil
	}
	switch el {
	case costing.Labour:
		return c.row.Labour
	case costing.Overhead:
		return c.row.Overhead
	}
	return c.row.Bought
}

func (c *calc) allowed(exact *big.Rat) costing.Money {
	return c.round(new(big.Rat).Mul(exact, c.progress))
}

// round keeps the first error; an amount beyond int64 stops the whole report.
func (c *calc) round(r *big.Rat) costing.Money {
	m, err := costing.RoundRat(r)
	if err != nil && c.err == nil {
		c.err = err
	}
	return costing.Money(m)
}

// standardLabour is round(Σ standard rate × actual time), by grade.
func (c *calc) standardLabour() costing.Money {
	sum := new(big.Rat)
	for k, seconds := range c.facts.labour[c.key] {
		// The rate is for a millionth of an hour.
		t := big.NewRat(seconds*costing.Million, 3600)
		sum.Add(sum, t.Mul(t, c.plan.StandardRate(c.key.Hull, k.job, k.detail)))
	}
	return c.round(sum)
}
