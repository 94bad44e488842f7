package estimate

import (
	"math/big"

	"hulltally/costing"
)

// perMillionth scales a price (millionths of a currency unit) to minor units for
// one millionth of an hour or stock unit.
func perMillionth(y *costing.Yard, p costing.Price) *big.Rat {
	return y.Currency.Extend(1, p)
}

func (p *Plan) grade(job, grade string, hours, cost *big.Rat) {
	k := jobGrade{job, grade}
	r := p.weighted[k]
	if r == nil {
		r = &rate{new(big.Rat), new(big.Rat)}
		p.weighted[k] = r
	}
	r.hours.Add(r.hours, hours)
	r.cost.Add(r.cost, cost)
}

// StandardRate is minor units per millionth of an hour for a grade on a job of
// a hull: the job's own lines, weighted by hours, or else the grade's standard
// rate on the day the hull was signed.
func (p *Plan) StandardRate(hull, job, grade string) *big.Rat {
	if r := p.weighted[jobGrade{job, grade}]; r != nil {
		if q := quotient(r.cost, r.hours); q != nil {
			return q
		}
	}
	return perMillionth(p.yard, p.yard.Grades[grade].Or(p.signed(hull), 0))
}

// absorption is minor units per millionth of an hour: the stage's rate on the
// day the hull was signed.
func (p *Plan) absorption(hull, stage string) *big.Rat {
	st := p.yard.Stages[stage]
	if st == nil {
		return new(big.Rat)
	}
	return perMillionth(p.yard, st.Absorption.Or(p.signed(hull), 0))
}

func (p *Plan) signed(hull string) costing.Date {
	if h := p.yard.Hulls[hull]; h != nil {
		return h.Signed
	}
	if t := p.yard.Tools[hull]; t != nil {
		return t.Begun
	}
	return costing.FromStart
}

// Progress is what jobs have last stated, in per cent.
type Progress map[string]int

// Stage is the progress of a hull's stage as a share of one: the mean of its
// jobs weighted by standard hours, by standard cost where it has no hours, and
// nought where it has neither.
func (p *Plan) Stage(k costing.HullStage, stated Progress) *big.Rat {
	byHours, hours := new(big.Rat), new(big.Rat)
	byCost, cost := new(big.Rat), new(big.Rat)
	for _, w := range p.weights[k] {
		done := big.NewRat(int64(stated[w.job]), 100)
		hours.Add(hours, w.hours)
		byHours.Add(byHours, new(big.Rat).Mul(w.hours, done))
		cost.Add(cost, w.cost)
		byCost.Add(byCost, new(big.Rat).Mul(w.cost, done))
	}
	switch {
	case hours.Sign() > 0:
		return byHours.Quo(byHours, hours)
	case cost.Sign() > 0:
		return byCost.Quo(byCost, cost)
	}
	return new(big.Rat)
}

// Hours is the standard hours of a hull's stage over all its jobs, in
// millionths of an hour.
func (p *Plan) Hours(k costing.HullStage) *big.Rat {
	h := new(big.Rat)
	for _, w := range p.weights[k] {
		h.Add(h, w.hours)
	}
	return h
}

// Left is the standard hours of a hull's stage that its jobs have not stated
// done, in millionths of an hour.
func (p *Plan) Left(k costing.HullStage, stated Progress) *big.Rat {
	left := new(big.Rat)
	for _, w := range p.weights[k] {
		left.Add(left, new(big.Rat).Mul(w.hours, big.NewRat(int64(100-stated[w.job]), 100)))
	}
	return left
}

// Cost is what a line comes to without overhead, exactly.
func Cost(c costing.Currency, l *costing.EstimateLine) *big.Rat {
	exact := c.Extend(l.Quantity, l.Rate)
	if l.Element == costing.Material {
		exact.Mul(exact, big.NewRat(int64(costing.One+l.Waste), int64(costing.One)))
	}
	return exact
}
