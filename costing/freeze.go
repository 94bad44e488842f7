package costing

import "slices"

// Freeze makes totals of what is computed those of what is booked: months up
// to closed show what was frozen in them, and the difference falls into the
// first open month. It does for totals what Adjust does for postings.
func (t *Totals) Freeze(closed Period, frozen *Totals) {
	if closed == 0 {
		return
	}
	moved := NewTotals()
	move := func(from *Totals, sign int64) {
		for k, s := range from.Cells {
			if k.Period <= closed {
				k.Period = closed.Next()
				moved.Cells[k] = moved.Cells[k].Plus(s.times(sign))
			}
		}
		for k, s := range from.Fine {
			if k.Period <= closed {
				k.Period = closed.Next()
				moved.Fine[k] = moved.Fine[k].Plus(s.times(sign))
			}
		}
		for k, m := range from.Ledger {
			if k.Period <= closed {
				k.Period = closed.Next()
				moved.Ledger[k] += Money(sign) * m
			}
		}
	}
	move(t, 1)
	move(frozen, -1)
	t.cut(func(p Period) bool { return p > closed })
	t.AddAll(frozen)
	t.AddAll(moved)
}

// Through keeps the totals of the months up to one.
func (t *Totals) Through(last Period) { t.cut(func(p Period) bool { return p <= last }) }

// cut keeps the totals of some months.
func (t *Totals) cut(kept func(Period) bool) {
	for k := range t.Cells {
		if !kept(k.Period) {
			delete(t.Cells, k)
		}
	}
	for k := range t.Fine {
		if !kept(k.Period) {
			delete(t.Fine, k)
		}
	}
	for k := range t.Ledger {
		if !kept(k.Period) {
			delete(t.Ledger, k)
		}
	}
}

func (s Sums) times(n int64) Sums {
	q := Quantity(n)
	return Sums{n * s.Seconds, q * s.Quantity, q * s.Net, q * s.Waste, Money(n) * s.Amount}
}

// Adjustments are differences to closed months, gathered by what they adjust.
type Adjustments map[Posting]Sums

// Count adds a posting of a closed month with a sign: 1 for what it is
// computed as now, −1 for what was frozen.
func (a Adjustments) Count(p *Posting, sign int64) {
	k := adjusts(p)
	s := Sums{p.Seconds, p.Quantity, p.Net, p.Waste, p.Amount}
	a[k] = a[k].Plus(s.times(sign))
}

// Booked is a posting as it stands in the books while months up to closed are
// frozen: one of a closed month falls on the first open day.
func (p *Posting) Booked(closed Period) Posting {
	b := *p
	if closed != 0 && p.Period() <= closed {
		b.Date = closed.Next().First()
	}
	return b
}

// WithSums is the posting with other sums.
func (p Posting) WithSums(s Sums) Posting {
	p.Seconds, p.Quantity, p.Net, p.Waste, p.Amount = s.Seconds, s.Quantity, s.Net, s.Waste, s.Amount
	return p
}

// Sums is what the posting adds up to.
func (p *Posting) Sums() Sums { return Sums{p.Seconds, p.Quantity, p.Net, p.Waste, p.Amount} }

// Sorted lists the adjustments that aren't nought, in order.
func (a Adjustments) Sorted() []Posting {
	var list []Posting
	for k, s := range a {
		if !s.IsZero() {
			list = append(list, k.WithSums(s))
		}
	}
	slices.SortFunc(list, comparePostings)
	return list
}

// Of is what has been gathered of what a posting is.
func (a Adjustments) Of(p *Posting) Sums { return a[adjusts(p)] }
