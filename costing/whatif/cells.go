package whatif

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// cells forecasts the hull's cells anew, by the method that the reports chose
// and at the progress they have. Other hulls' cells are left out.
func (b *Books) cells(hull string, plan *estimate.Plan, rows []variance.Row) ([]forecast.Cell, error) {
	estimates := map[forecast.Key]costing.Money{}
	for i := range rows {
		if r := &rows[i]; r.Hull == hull {
			estimates[forecast.Key{Hull: hull, Stage: r.Stage, Element: r.Element, Apart: r.Purpose.Apart()}] += r.Estimate
		}
	}
	var list []forecast.Cell
	for i := range b.Cells {
		c := b.Cells[i]
		if c.Hull != hull {
			continue
		}
		k := forecast.Key{Hull: hull, Stage: c.Stage, Element: c.Element, Apart: c.Apart}
		if ratio := b.ratio(plan, k); estimates[k] != c.Estimate || ratio != nil && ratio.Cmp(one) != 0 {
			if err := again(&c, estimates[k], ratio); err != nil {
				return nil, err
			}
		}
		list = append(list, c)
	}
	return list, nil
}

var one = big.NewRat(1, 1)

// again forecasts a cell whose estimate has changed.
func again(c *forecast.Cell, estimate costing.Money, ratio *big.Rat) error {
	was := c.ToComplete()
	c.Estimate = estimate
	left := new(big.Rat).Sub(one, c.Progress)
	if left.Sign() < 0 {
		left.SetInt64(0)
	}
	var exact *big.Rat
	switch c.Chosen {
	case forecast.InLumps:
		rest := costing.Money(0)
		if left.Sign() > 0 && !(c.Apart && estimate == 0) {
			rest = max(estimate-c.Actual, 0)
		}
		c.Methods = map[forecast.Method]costing.Money{c.Chosen: rest}
		return nil
	case forecast.AtEstimate:
		exact = left.Mul(left, new(big.Rat).SetInt64(int64(estimate)))
	case forecast.AtEfficiency:
		exact = new(big.Rat).SetInt64(int64(c.Actual))
		exact.Mul(exact, left).Quo(exact, c.Progress)
		exact = grown(exact, ratio)
	default: // as the estimator stated it, and grown
		exact = grown(new(big.Rat).SetInt64(int64(was)), ratio)
	}
	m, err := costing.RoundRat(exact)
	c.Methods = map[forecast.Method]costing.Money{c.Chosen: costing.Money(m)}
	return err
}

// grown is r times the ratio, where the estimate has one.
func grown(r, ratio *big.Rat) *big.Rat {
	if ratio == nil {
		return r
	}
	return r.Mul(r, ratio)
}

// ratio is by what a cell's exact estimate grew; nil where there was none.
func (b *Books) ratio(plan *estimate.Plan, k forecast.Key) *big.Rat {
	was, is := exact(b.Plan, k), exact(plan, k)
	if was.Sign() == 0 {
		return nil
	}
	return is.Quo(is, was)
}

// exact is a cell's estimate before rounding.
func exact(plan *estimate.Plan, k forecast.Key) *big.Rat {
	sum := new(big.Rat)
	for _, purpose := range []costing.Purpose{costing.Build, costing.ForOrder, costing.Rework, costing.Warranty} {
		row := plan.Rows[estimate.Key{Hull: k.Hull, Stage: k.Stage, Purpose: purpose}]
		if row == nil || purpose.Apart() != k.Apart {
			continue
		}
		switch k.Element {
		case costing.Labour:
			sum.Add(sum, row.Labour)
		case costing.Overhead:
			sum.Add(sum, row.Overhead)
		case costing.BoughtIn:
			sum.Add(sum, row.Bought)
		case costing.Material:
			for _, it := range row.Items {
				sum.Add(sum, it.Cost)
			}
		}
	}
	return sum
}

// stages sets each stage before beside after.
func (b *Books) stages(hull string, plan *estimate.Plan, rows []variance.Row, cells []forecast.Cell) []Moved {
	byKey := map[string]*Moved{}
	get := func(stage string) *Moved {
		m := byKey[stage]
		if m == nil {
			k := costing.HullStage{Hull: hull, Stage: stage}
			m = &Moved{Stage: stage, Hours: b.Plan.Hours(k), NewHours: plan.Hours(k), Progress: b.Plan.Stage(k, b.Stated)}
			m.AlreadyFinished = m.Progress.Cmp(one) >= 0
			byKey[stage] = m
		}
		return m
	}
	for i := range b.Rows {
		if r := &b.Rows[i]; r.Hull == hull {
			m := get(r.Stage)
			m.Estimate += r.Estimate
			m.AtCompletion += r.Actual
		}
	}
	for i := range rows {
		if r := &rows[i]; r.Hull == hull {
			m := get(r.Stage)
			m.NewEstimate += r.Estimate
			m.NewAtCompletion += r.Actual
		}
	}
	for i := range b.Cells {
		if c := &b.Cells[i]; c.Hull == hull {
			m := get(c.Stage)
			m.ToComplete += c.ToComplete()
			m.AtCompletion += c.ToComplete()
			m.ByEfficiency = m.ByEfficiency || c.Chosen == forecast.AtEfficiency && !c.Apart
		}
	}
	for i := range cells {
		m := get(cells[i].Stage)
		m.NewToComplete += cells[i].ToComplete()
		m.NewAtCompletion += cells[i].ToComplete()
	}
	list := make([]Moved, 0, len(byKey))
	for _, m := range byKey {
		list = append(list, *m)
	}
	order := func(stage string) int {
		if s := b.Yard.Stages[stage]; s != nil {
			return s.Order
		}
		return 0
	}
	slices.SortFunc(list, func(x, y Moved) int {
		return cmp.Or(cmp.Compare(order(x.Stage), order(y.Stage)), cmp.Compare(x.Stage, y.Stage))
	})
	return list
}
