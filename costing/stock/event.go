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
	Cut        Kind = "cut" // a piece became a lot of its own
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
	Offcut   string // of a cut, the lot it made
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
	return Event{
		Source: e.ID, Kind: kind, At: e.At, Station: e.Station, N: e.N, Lot: e.Lot, Job: e.Job, Quantity: e.Quantity,
	}, e.VoidedBy == ""
}

// Received is the event of a lot's delivery.
func Received(l *costing.Lot) Event {
	return Event{Source: "lot " + l.Key, Kind: Receipt, At: l.Received, Lot: l.Key, Quantity: l.Quantity}
}

// Counted is the event of a stock count.
func Counted(l *costing.Lot, c costing.Count) Event {
	return Event{Source: "count " + l.Key + " " + c.At.String(), Kind: Difference, At: c.At, Lot: l.Key, Quantity: c.Quantity}
}

// CutFrom are the events by which a lot gave an offcut: what a job had drawn
// comes back first, if it was left over from one.
func CutFrom(parent, l *costing.Lot) []Event {
	cut := Event{Source: "offcut " + l.Key, Kind: Cut, At: l.Received, N: 1, Lot: parent.Key, Quantity: l.Quantity, Offcut: l.Key}
	if l.FromJob == "" {
		return []Event{cut}
	}
	back := cut
	back.Kind, back.N, back.Job, back.Offcut = Return, 0, l.FromJob, ""
	return []Event{back, cut}
}

// Recorded are a lot's events that the yard's own data tells: its delivery,
// its counts, and what was cut from it.
func Recorded(y *costing.Yard, l *costing.Lot, asOf costing.Instant) []Event {
	var list []Event
	if l.Received <= asOf {
		list = append(list, Received(l))
	}
	for _, c := range l.Counts {
		if c.At <= asOf {
			list = append(list, Counted(l, c))
		}
	}
	for _, key := range l.Offcuts {
		if piece := y.Lots[key]; piece != nil && piece.Received <= asOf {
			list = append(list, CutFrom(l, piece)...)
		}
	}
	return list
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
