package costing

import (
	"cmp"
	"slices"
)

// Adjust is the one rule for closed months. A unit's postings in months up to
// closed are frozen as they were; computed is what they come to by what is
// known now. What would differ in a frozen month is posted as adjustments,
// dated the first day of the earliest open month, with the source that it
// adjusts; what is computed in open months stands as it is.
//
// frozen holds everything the unit has in closed months, earlier adjustments
// among it, so that frozen + adjustments + open always add up to computed, by
// account, hull, stage, job, element, purpose and detail. An adjustment below
// nought takes back.
func Adjust(closed Period, frozen, computed []Posting) (open, adjustments []Posting) {
	differences := map[Posting]Posting{}
	count := func(p *Posting, sign int64) {
		k := adjusts(p)
		d := differences[k]
		d.Seconds += sign * p.Seconds
		d.Quantity += Quantity(sign) * p.Quantity
		d.Net += Quantity(sign) * p.Net
		d.Waste += Quantity(sign) * p.Waste
		d.Amount += Money(sign) * p.Amount
		differences[k] = d
	}
	for i := range computed {
		if computed[i].Period() > closed {
			open = append(open, computed[i])
		} else {
			count(&computed[i], 1)
		}
	}
	for i := range frozen {
		count(&frozen[i], -1)
	}
	day := closed.Next().First()
	for k, d := range differences {
		if d == (Posting{}) {
			continue
		}
		p := k
		p.Date, p.Seconds, p.Quantity, p.Net, p.Waste, p.Amount = day, d.Seconds, d.Quantity, d.Net, d.Waste, d.Amount
		adjustments = append(adjustments, p)
	}
	slices.SortFunc(adjustments, comparePostings)
	return open, adjustments
}

// adjusts is what a posting is, without when and how much.
func adjusts(p *Posting) Posting {
	k := *p
	k.Date, k.Seconds, k.Quantity, k.Net, k.Waste, k.Amount = 0, 0, 0, 0, 0, 0
	return k
}

func comparePostings(a, b Posting) int {
	return cmp.Or(cmp.Compare(a.Source, b.Source), cmp.Compare(a.Debit, b.Debit), cmp.Compare(a.Credit, b.Credit),
		cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Job, b.Job),
		cmp.Compare(a.Element, b.Element), cmp.Compare(a.Purpose, b.Purpose), cmp.Compare(a.Detail, b.Detail))
}
