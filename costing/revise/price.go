package revise

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Priced is a revision with what each line comes to. Overhead has lines of its
// own, one for each stage and purpose: it follows the hours. The lines add up
// to the estimate of the reports, to the cent.
type Priced struct {
	Revision *Revision
	forecast.Margin
	Lines []PricedLine // in the order of the build
}

// PricedLine is a line with its cost to the hull.
type PricedLine struct {
	Line
	Ordinal int              // among lines alike in job, element and key
	Own     costing.Quantity // the hull's part of the quantity, to six places
	Cost    costing.Money
}

// rowKey is what the reports round together.
type rowKey struct {
	stage   string
	purpose costing.Purpose
	element costing.Element
	item    string // of material
}

// Price reckons a revision in a yard.
func Price(y *costing.Yard, r *Revision) (*Priced, error) {
	plan, rows, margin, err := r.books(y)
	if err != nil {
		return nil, err
	}
	p := &Priced{Revision: r, Margin: *margin}
	for i := range r.Lines {
		l, err := r.own(&r.Lines[i])
		if err != nil {
			return nil, err
		}
		p.Lines = append(p.Lines, l)
	}
	order(y, p.Lines)
	number(p.Lines)
	if err := p.share(y, plan); err != nil {
		return nil, err
	}
	p.overhead(rows)
	return p, nil
}

// own is the hull's part of a line.
func (r *Revision) own(l *Line) (PricedLine, error) {
	p := PricedLine{Line: *l, Own: l.Quantity}
	if len(l.Shares) == 0 {
		return p, nil
	}
	w := weight(r, l)
	q, err := costing.RoundRat(new(big.Rat).Mul(w, new(big.Rat).SetInt64(int64(l.Quantity))))
	p.Own = costing.Quantity(q)
	return p, err
}

func weight(r *Revision, l *Line) *big.Rat {
	var mine, all int64
	for _, s := range r.shares(l) {
		all += s.Weight
		if s.Hull == r.Hull {
			mine += s.Weight
		}
	}
	return big.NewRat(mine, max(all, 1))
}

// share gives every line its cost by running rounding within what the reports
// round together, so that the lines add up to it.
func (p *Priced) share(y *costing.Yard, plan *estimate.Plan) error {
	sums := map[rowKey]*big.Rat{}
	posted := map[rowKey]int64{}
	for i := range p.Lines {
		l := &p.Lines[i]
		k := rowKey{l.Stage, l.Purpose, l.Element, ""}
		exact := y.Currency.Extend(l.Quantity, l.Rate)
		exact.Mul(exact, weight(p.Revision, &l.Line))
		if l.Element == costing.Material {
			k.item = l.Key
			exact.Mul(exact, big.NewRat(int64(costing.One+l.Waste), int64(costing.One)))
		}
		if sums[k] == nil {
			sums[k] = new(big.Rat)
		}
		total, err := costing.RoundRat(sums[k].Add(sums[k], exact))
		if err != nil {
			return err
		}
		l.Cost = costing.Money(total - posted[k])
		posted[k] = total
	}
	return nil
}

// overhead adds the lines of overhead.
func (p *Priced) overhead(rows []variance.Row) {
	for i := range rows {
		r := &rows[i]
		if r.Hull != p.Revision.Hull || r.Element != costing.Overhead || r.Estimate == 0 {
			continue
		}
		at := len(p.Lines)
		for j := range p.Lines {
			if l := &p.Lines[j]; l.Stage == r.Stage && l.Purpose == r.Purpose {
				at = j + 1
			}
		}
		p.Lines = slices.Insert(p.Lines, at, PricedLine{
			Line: Line{Stage: r.Stage, Purpose: r.Purpose, Element: costing.Overhead, Key: "on the hours"}, Ordinal: 1, Cost: r.Estimate,
		})
	}
}

// order sorts lines as the boat is built, and within a job as they were given.
func order(y *costing.Yard, lines []PricedLine) {
	at := func(stage string) int {
		if s := y.Stages[stage]; s != nil {
			return s.Order
		}
		return 0
	}
	slices.SortStableFunc(lines, func(a, b PricedLine) int {
		return cmp.Or(cmp.Compare(at(a.Stage), at(b.Stage)), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Job, b.Job),
			cmp.Compare(a.Element, b.Element))
	})
}

func number(lines []PricedLine) {
	type like struct {
		job, key string
		element  costing.Element
	}
	seen := map[like]int{}
	for i := range lines {
		k := like{lines[i].Job, lines[i].Key, lines[i].Element}
		seen[k]++
		lines[i].Ordinal = seen[k]
	}
}
