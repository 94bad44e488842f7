package revise

import "hulltally/costing"

// Pair is one line in two revisions; nil where a revision has no such line.
type Pair struct{ A, B *PricedLine }

// Line is the line's names, from whichever revision has it.
func (p Pair) Line() *PricedLine {
	if p.B != nil {
		return p.B
	}
	return p.A
}

// Hours and quantities, waste, rate and cost by which B is above A.

// Quantity is the difference of the hull's quantities.
func (p Pair) Quantity() costing.Quantity {
	return one(p.B, func(l *PricedLine) costing.Quantity { return l.Own }) - one(p.A, func(l *PricedLine) costing.Quantity { return l.Own })
}

// Waste is the difference of the waste allowances.
func (p Pair) Waste() costing.Share {
	return one(p.B, func(l *PricedLine) costing.Share { return l.Waste }) - one(p.A, func(l *PricedLine) costing.Share { return l.Waste })
}

// Rate is the difference of rates, prices or amounts.
func (p Pair) Rate() costing.Price {
	return one(p.B, func(l *PricedLine) costing.Price { return l.Rate }) - one(p.A, func(l *PricedLine) costing.Price { return l.Rate })
}

// Cost is the difference of costs.
func (p Pair) Cost() costing.Money {
	return one(p.B, func(l *PricedLine) costing.Money { return l.Cost }) - one(p.A, func(l *PricedLine) costing.Money { return l.Cost })
}

// Same reports whether nothing differs.
func (p Pair) Same() bool {
	return p.A != nil && p.B != nil && p.Quantity() == 0 && p.Waste() == 0 && p.Rate() == 0 && p.Cost() == 0
}

func one[T any](l *PricedLine, of func(*PricedLine) T) (zero T) {
	if l == nil {
		return zero
	}
	return of(l)
}

// pairKey matches lines: by job within a hull, by stage and part between hulls,
// whose jobs have names of their own.
type pairKey struct {
	job, stage, part string
	purpose          costing.Purpose
	element          costing.Element
	key              string
	ordinal          int
}

// Compare matches the lines of two revisions. The costs of the pairs add up to
// the difference of the totals.
func Compare(a, b *Priced) []Pair {
	same := a.Revision.Hull == b.Revision.Hull
	var pairs []Pair
	at := map[pairKey]int{}
	for _, side := range []struct {
		p *Priced
		b bool
	}{{a, false}, {b, true}} {
		seen := map[pairKey]int{}
		for i := range side.p.Lines {
			l := &side.p.Lines[i]
			k := pairKey{l.Job, l.Stage, l.Part, l.Purpose, l.Element, l.Key, 0}
			if !same {
				k.job = ""
			}
			seen[k]++
			k.ordinal = seen[k]
			n, there := at[k]
			if !there {
				n = len(pairs)
				at[k] = n
				pairs = append(pairs, Pair{})
			}
			if side.b {
				pairs[n].B = l
			} else {
				pairs[n].A = l
			}
		}
	}
	return pairs
}

// Sum adds the pairs' differences of cost up.
func Sum(pairs []Pair) (sum costing.Money) {
	for _, p := range pairs {
		sum += p.Cost()
	}
	return sum
}
