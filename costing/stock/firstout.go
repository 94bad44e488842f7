package stock

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// Standing is a lot as it stands in the stores at an instant.
type Standing struct {
	Lot    *costing.Lot
	Item   *costing.Item
	Left   costing.Quantity
	Opened costing.Instant // when it was first issued from; 0: never
	Held   *costing.Hold   // it is in quarantine
	Best   *costing.Date   // the last day it may be used without a reason; nil: it keeps
}

// Stand says how a lot stands at an instant, by its shelf, which may be nil.
func Stand(y *costing.Yard, l *costing.Lot, shelf *Shelf, at costing.Instant) Standing {
	s := Standing{Lot: l, Item: y.Items[l.Item], Held: l.HeldAt(at)}
	if shelf != nil {
		s.Left, s.Opened = shelf.Closing(), shelf.Opened
	}
	s.Best = BestBefore(y, l, s.Opened)
	return s
}

// BestBefore is the last day a lot may be used without a reason: the maker's
// date, or the end of its open life where that comes first. The maker's data
// sheet decides; the dates are the yard's record of it.
func BestBefore(y *costing.Yard, l *costing.Lot, opened costing.Instant) *costing.Date {
	best := l.Expires
	it := y.Items[l.Item]
	if it == nil || it.OpenLife == 0 || opened == 0 {
		return best
	}
	end := costing.DateOf(opened, y.Zone) + costing.Date(it.OpenLife)
	if best == nil || end < *best {
		return &end
	}
	return best
}

// Expired reports whether a lot is past its last day.
func (s *Standing) Expired(day costing.Date) bool { return s.Best != nil && *s.Best < day }

// Usable reports whether a lot may be proposed: there is some, it is neither
// held nor expired.
func (s *Standing) Usable(day costing.Date) bool {
	return s.Left > 0 && s.Held == nil && !s.Expired(day)
}

// FirstOut sorts lots of one item as they should be used up: usable ones
// first, by their last day; among those of one day what is opened, then
// offcuts, then what came first. What is not usable follows, by the same.
func FirstOut(list []Standing, day costing.Date) {
	slices.SortStableFunc(list, func(a, b Standing) int {
		return cmp.Or(no(a.Usable(day), b.Usable(day)), no(a.Left > 0, b.Left > 0), no(a.Held == nil, b.Held == nil),
			cmp.Compare(lastDay(a.Best), lastDay(b.Best)), no(a.Opened != 0, b.Opened != 0),
			no(a.Lot.Parent != "", b.Lot.Parent != ""), cmp.Compare(a.Lot.Received, b.Lot.Received), cmp.Compare(a.Lot.Key, b.Lot.Key))
	})
}

// no sorts those of which something is true first.
func no(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

func lastDay(d *costing.Date) costing.Date {
	if d == nil {
		return 1 << 30
	}
	return *d
}
