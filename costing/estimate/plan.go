// Package estimate builds the current estimate: the baseline of every hull and
// the change orders agreed by a day, by hull, stage and purpose, with standard
// rates and the progress that its jobs have stated.
//
// Sums are kept as exact fractions of minor units and rounded once: per item
// for material, per row for labour, overhead and bought-in parts. A shared
// job's lines divide by its weights exactly.
package estimate

import (
	"math/big"

	"hulltally/costing"
)

// Key names a row of the plan: all elements of one purpose in a hull's stage.
type Key struct {
	Hull, Stage string
	Purpose     costing.Purpose
}

// Row is what the estimate allows under one key.
type Row struct {
	Labour, Overhead, Bought *big.Rat // minor units
	Items                    map[string]*Item
}

// Item is the estimate of one material in one row. Quantities are in millionths
// of the stock unit, Cost is in minor units.
type Item struct {
	Net   *big.Rat
	Gross *big.Rat // net × (1 + allowance)
	Cost  *big.Rat // standard price × gross
	Plies int      // layers, where the lines say
}

// JobItem names a material of a job: of the whole job, not of one hull's share.
type JobItem struct{ Job, Item string }

// StandardPrice is minor units per millionth of the stock unit: the lines'
// price, weighted by quantity where they differ; nil where the lines are empty.
func (i *Item) StandardPrice() *big.Rat { return quotient(i.Cost, i.Gross) }

// Allowance is 1 + the waste allowance, weighted by net quantity.
func (i *Item) Allowance() *big.Rat { return quotient(i.Gross, i.Net) }

func quotient(a, b *big.Rat) *big.Rat {
	if b.Sign() == 0 {
		return nil
	}
	return new(big.Rat).Quo(a, b)
}

// weight is a job's weight in the progress of a hull's stage.
type weight struct {
	job         string
	hours, cost *big.Rat
}

type jobGrade struct{ job, grade string }

// Plan is the current estimate of the whole yard.
type Plan struct {
	Rows  map[Key]*Row
	ByJob map[JobItem]*Item

	yard     *costing.Yard
	weights  map[costing.HullStage][]*weight
	weighted map[jobGrade]*rate
}

type rate struct{ hours, cost *big.Rat }

// Build gathers the estimate lines that count on a day.
func Build(y *costing.Yard, day costing.Date) *Plan {
	p := &Plan{
		Rows: map[Key]*Row{}, ByJob: map[JobItem]*Item{}, yard: y,
		weights: map[costing.HullStage][]*weight{}, weighted: map[jobGrade]*rate{},
	}
	for i := range y.Estimate {
		line := &y.Estimate[i]
		if job := y.Jobs[line.Job]; job != nil && counts(y, line, job, day) {
			p.add(line, job)
		}
	}
	return p
}

// counts: a line belongs to the change order it names, or else to its job's.
// (Decision: a job made for a change order is not in the baseline.)
func counts(y *costing.Yard, line *costing.EstimateLine, job *costing.Job, day costing.Date) bool {
	key := line.Change
	if key == "" {
		key = job.Change
	}
	if key == "" {
		return true
	}
	c := y.Changes[key]
	return c != nil && c.Counts(day)
}

func (p *Plan) add(line *costing.EstimateLine, job *costing.Job) {
	var total int64
	for _, s := range job.Shares {
		total += s.Weight
	}
	whole := p.yard.Currency.Extend(line.Quantity, line.Rate)
	hours := new(big.Rat)
	if line.Element == costing.Labour {
		hours.SetInt64(int64(line.Quantity))
		p.grade(job.Key, line.Key, hours, whole)
	}
	if line.Element == costing.Material {
		k := JobItem{job.Key, line.Key}
		if p.ByJob[k] == nil {
			p.ByJob[k] = newItem()
		}
		p.ByJob[k].add(line, big.NewRat(1, 1), whole)
	}
	for _, s := range job.Shares {
		part := big.NewRat(s.Weight, total)
		row := p.row(Key{s.Hull, job.Stage, job.Purpose})
		w := p.weight(costing.HullStage{Hull: s.Hull, Stage: job.Stage}, job.Key)
		cost := new(big.Rat).Mul(whole, part)
		switch line.Element {
		case costing.Labour:
			h := new(big.Rat).Mul(hours, part)
			row.Labour.Add(row.Labour, cost)
			w.hours.Add(w.hours, h)
			oh := p.absorption(s.Hull, job.Stage)
			oh.Mul(oh, h)
			row.Overhead.Add(row.Overhead, oh)
			w.cost.Add(w.cost, oh)
		case costing.Material:
			cost = row.material(line, part, cost)
		case costing.BoughtIn:
			row.Bought.Add(row.Bought, cost)
		case costing.Overhead: // follows the hours, never a line of its own
		}
		w.cost.Add(w.cost, cost)
	}
}

func (p *Plan) row(k Key) *Row {
	r := p.Rows[k]
	if r == nil {
		r = &Row{new(big.Rat), new(big.Rat), new(big.Rat), map[string]*Item{}}
		p.Rows[k] = r
	}
	return r
}

func (p *Plan) weight(k costing.HullStage, job string) *weight {
	for _, w := range p.weights[k] {
		if w.job == job {
			return w
		}
	}
	w := &weight{job, new(big.Rat), new(big.Rat)}
	p.weights[k] = append(p.weights[k], w)
	return w
}

func (r *Row) material(line *costing.EstimateLine, part, net *big.Rat) *big.Rat {
	it := r.Items[line.Key]
	if it == nil {
		it = newItem()
		r.Items[line.Key] = it
	}
	return it.add(line, part, net)
}

func newItem() *Item {
	return &Item{Net: new(big.Rat), Gross: new(big.Rat), Cost: new(big.Rat)}
}

// add counts a part of a line in and gives its cost with the allowance.
func (it *Item) add(line *costing.EstimateLine, part, net *big.Rat) *big.Rat {
	it.Plies += line.Plies
	allow := big.NewRat(int64(costing.One+line.Waste), int64(costing.One))
	q := new(big.Rat).Mul(new(big.Rat).SetInt64(int64(line.Quantity)), part)
	it.Net.Add(it.Net, q)
	it.Gross.Add(it.Gross, new(big.Rat).Mul(q, allow))
	cost := new(big.Rat).Mul(net, allow)
	it.Cost.Add(it.Cost, cost)
	return cost
}
