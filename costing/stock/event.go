package stock

import (
	"hulltally/costing"
	"hulltally/costing/clock"
)

// Kind says what an event does to a lot.
type Kind string

// The kinds of event.
const (
	Receipt    Kind = "receipt"
	Issue      Kind = "issue"
	Return     Kind = "return"
	Waste      Kind = "waste"
	Scrap      Kind = "scrap"
	Difference Kind = "count"
)

// Event is one thing that happened to a lot. Quantity is as read (an issue of
// a factored item is net), as received, or as counted.
type Event struct {
	Source   string
	Kind     Kind
	At       costing.Instant
	Station  string
	N        int64
	Lot      string
	Job      string
	Quantity costing.Quantity
}

// FromEntry is the event of a stores entry, or false for entries that move no stock.
func FromEntry(e *clock.Entry) (Event, bool) {
	var kind Kind
	switch e.Kind {
	case clock.Issue:
		kind = Issue
	case clock.Returned:
		kind = Return
	case clock.Wasted:
		kind = Waste
	case clock.Scrapped:
		kind = Scrap
	default:
		return Event{}, false
	}
	return Event{e.ID, kind, e.At, e.Station, e.N, e.Lot, e.Job, e.Quantity}, e.VoidedBy == ""
}

// Received is the event of a lot's delivery.
func Received(l *costing.Lot) Event {
	return Event{Source: "lot " + l.Key, Kind: Receipt, At: l.Received, Lot: l.Key, Quantity: l.Quantity}
}

// Counted is the event of a stock count.
func Counted(l *costing.Lot, c costing.Count) Event {
	return Event{Source: "count " + l.Key + " " + c.At.String(), Kind: Difference, At: c.At, Lot: l.Key, Quantity: c.Quantity}
}

// Rank orders events of one instant: what came in is there to be drawn, and a
// count states what is left after the draws.
func (e *Event) Rank() int {
	switch e.Kind {
	case Receipt:
		return 0
	case Difference:
		return 2
	}
	return 1
}

// Compare orders events by (instant, station, n).
func Compare(a, b Event) int {
	switch {
	case a.At != b.At:
		return sign(a.At < b.At)
	case a.Rank() != b.Rank():
		return sign(a.Rank() < b.Rank())
	case a.Station != b.Station:
		return sign(a.Station < b.Station)
	case a.N != b.N:
		return sign(a.N < b.N)
	case a.Source != b.Source:
		return sign(a.Source < b.Source)
	}
	return 0
}

func sign(less bool) int {
	if less {
		return -1
	}
	return 1
}

// Unit is what is costed as one: a lot, or an item's pool.
type Unit struct{ Item, Lot string } // Lot is empty for a pool

// UnitOf is the unit a lot belongs to.
func UnitOf(y *costing.Yard, lot string) Unit {
	l := y.Lots[lot]
	if l == nil {
		return Unit{}
	}
	if it := y.Items[l.Item]; it != nil && it.CostMethod == costing.ByAverage {
		return Unit{Item: l.Item}
	}
	return Unit{Item: l.Item, Lot: lot}
}
