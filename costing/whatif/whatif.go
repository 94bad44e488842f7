// Package whatif says what margin a hull would leave if things were otherwise:
// rates, hours, waste, prices, the exchange rate, more of the work afloat. It
// changes nothing. With nothing changed it gives the margin of the reports, to
// the cent, for it is reckoned from their own rows and cells.
//
// What is spent is spent: the change bears on the work still to do. Where that
// is forecast at the estimate, the changed estimate takes its place; where it is
// forecast at the efficiency so far, it grows as the estimate grows, so that a
// yard which takes 1.2 of its estimate is taken to go on doing so.
package whatif

import (
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// AfloatTimes is how much longer the same work takes afloat (common practice,
// no source).
const AfloatTimes = 3 * costing.One

// Stage is what is changed in one stage alone, beside what is changed in all.
type Stage struct {
	Hours  costing.Share // times; One changes nothing
	Afloat costing.Share // share of the estimated hours done afloat instead of ashore
}

// Levers are what is changed. The zero value of a factor is not One: begin
// with None.
type Levers struct {
	Hours       costing.Share // times
	Rates       costing.Share // times, of labour
	Prices      costing.Share // times, of material
	Bought      costing.Share // times, of bought-in parts
	Waste       costing.Share // added to every allowance, of net; an allowance ends at nought
	AfloatTimes costing.Share
	Stages      map[string]Stage
	Price       *int64         // of the contract, in its currency, millionths
	PriceRate   *costing.Price // base currency per unit of the contract's
}

// None changes nothing.
func None() Levers {
	return Levers{
		Hours: costing.One, Rates: costing.One, Prices: costing.One, Bought: costing.One, AfloatTimes: AfloatTimes, Stages: map[string]Stage{},
	}
}

// Books are what the reports are made of.
type Books struct {
	Yard   *costing.Yard
	Day    costing.Date
	Stated estimate.Progress
	Totals *costing.Totals
	Plan   *estimate.Plan
	Rows   []variance.Row
	Cells  []forecast.Cell
}

// Moved is a stage before and after.
type Moved struct {
	Stage                         string
	Estimate, AtCompletion        costing.Money
	NewEstimate, NewAtCompletion  costing.Money
	Hours, NewHours               *big.Rat // estimated, millionths
	ToComplete, NewToComplete     costing.Money
	Progress                      *big.Rat
	ByEfficiency, AlreadyFinished bool
}

// Answer is a hull before and after.
type Answer struct {
	Base, New forecast.Margin
	Stages    []Moved // in the order of the build
}

// Ask reckons a hull under changed circumstances.
func (b *Books) Ask(hull string, lv Levers) (*Answer, error) {
	yard, err := b.changed(hull, lv)
	if err != nil {
		return nil, err
	}
	plan := estimate.Build(yard, b.Day)
	rows, err := variance.Rows(yard, plan, b.Stated, b.Totals)
	if err != nil {
		return nil, err
	}
	cells, err := b.cells(hull, plan, rows)
	if err != nil {
		return nil, err
	}
	a := &Answer{}
	if a.Base, err = margin(b.Yard, b.Day, hull, b.Rows, b.Cells); err != nil {
		return nil, err
	}
	if a.New, err = margin(yard, b.Day, hull, rows, cells); err != nil {
		return nil, err
	}
	a.Stages = b.stages(hull, plan, rows, cells)
	return a, nil
}

func margin(y *costing.Yard, day costing.Date, hull string, rows []variance.Row, cells []forecast.Cell) (forecast.Margin, error) {
	list, err := forecast.Margins(y, day, rows, cells)
	if err != nil {
		return forecast.Margin{}, err
	}
	i := slices.IndexFunc(list, func(m forecast.Margin) bool { return m.Hull == hull })
	if i < 0 {
		return forecast.Margin{Hull: hull}, nil
	}
	return list[i], nil
}

// changed is the yard with the hull's lines and contract changed.
func (b *Books) changed(hull string, lv Levers) (*costing.Yard, error) {
	y := *b.Yard
	y.Hulls = map[string]*costing.Hull{}
	for k, h := range b.Yard.Hulls {
		y.Hulls[k] = h
	}
	if h := b.Yard.Hulls[hull]; h != nil {
		c := *h
		if lv.Price != nil {
			c.Price = *lv.Price
		}
		if lv.PriceRate != nil {
			c.PriceRate = *lv.PriceRate
		}
		y.Hulls[hull] = &c
	}
	y.Estimate = slices.Clone(b.Yard.Estimate)
	for i := range y.Estimate {
		l := &y.Estimate[i]
		job := b.Yard.Jobs[l.Job]
		if job == nil || !slices.ContainsFunc(job.Shares, func(s costing.ShareOf) bool { return s.Hull == hull }) {
			continue
		}
		if err := lv.Line(job.Stage, l); err != nil {
			return nil, err
		}
	}
	return &y, nil
}

// Line applies the levers to a line of a stage.
func (lv *Levers) Line(stage string, l *costing.EstimateLine) error {
	switch l.Element {
	case costing.Labour:
		q, err := costing.RoundRat(new(big.Rat).Mul(new(big.Rat).SetInt64(int64(l.Quantity)), lv.hours(stage)))
		if err != nil {
			return err
		}
		l.Quantity = costing.Quantity(q)
		return times(&l.Rate, lv.Rates)
	case costing.Material:
		l.Waste = max(l.Waste+lv.Waste, 0)
		return times(&l.Rate, lv.Prices)
	case costing.BoughtIn:
		return times(&l.Rate, lv.Bought)
	case costing.Overhead: // follows the hours
	}
	return nil
}

// hours is the factor on a stage's hours: all of them, the stage's, and what
// moves afloat takes AfloatTimes as long.
func (lv *Levers) hours(stage string) *big.Rat {
	one := int64(costing.One)
	f := big.NewRat(int64(lv.Hours), one)
	s, there := lv.Stages[stage]
	if !there {
		return f
	}
	f.Mul(f, big.NewRat(int64(s.Hours), one))
	afloat := big.NewRat(int64(s.Afloat), one)
	longer := big.NewRat(int64(lv.AfloatTimes-costing.One), one)
	return f.Mul(f, afloat.Mul(afloat, longer).Add(afloat, big.NewRat(1, 1)))
}

func times(p *costing.Price, f costing.Share) error {
	v, err := costing.MulRound(int64(*p), int64(f), int64(costing.One))
	*p = costing.Price(v)
	return err
}
