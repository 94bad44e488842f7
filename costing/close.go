package costing

// CloseKind says what people did to a month.
type CloseKind string

// A month is closed by one person; to open it again one asks and another agrees.
const (
	Closed    CloseKind = "close"
	AskReopen CloseKind = "ask"
	Reopened  CloseKind = "reopen"
)

// Close is a month closed or opened again.
type Close struct {
	Period      Period
	At          Instant
	Kind        CloseKind
	Who, Second string // Second agreed to opening it again
	Why         string
	Digest      string // of what was frozen
}

// Closes are all closes of a yard in order of their instants.
type Closes []Close

// InForce lists the closes that hold at an instant, the latest month last.
func (cs Closes) InForce(at Instant) []Close {
	var held []Close
	for i := range cs {
		switch c := &cs[i]; {
		case c.At > at:
			return held
		case c.Kind == Closed:
			held = append(held, *c)
		case c.Kind == Reopened && len(held) > 0:
			held = held[:len(held)-1]
		}
	}
	return held
}

// Through is the last month closed at an instant; 0 where none is.
func (cs Closes) Through(at Instant) Period {
	held := cs.InForce(at)
	if len(held) == 0 {
		return 0
	}
	return held[len(held)-1].Period
}

// Of is the close of a month that holds at an instant: the first one at or
// after it, for the first close takes in all months before.
func (cs Closes) Of(p Period, at Instant) (Close, bool) {
	for _, c := range cs.InForce(at) {
		if c.Period >= p {
			return c, true
		}
	}
	return Close{}, false
}

// Asked is the request to open the latest month again that waits for a second
// person, if there is one.
func (cs Closes) Asked() (Close, bool) {
	if n := len(cs); n > 0 && cs[n-1].Kind == AskReopen {
		return cs[n-1], true
	}
	return Close{}, false
}

// Refuses says why a deed doesn't follow from what was done before: the column
// at fault and the reason, which is empty where it does.
func (cs Closes) Refuses(c Close) (column, reason string) {
	if n := len(cs); n > 0 && c.At <= cs[n-1].At {
		return "at", "is not after " + cs[n-1].At.String() + ", when " + cs[n-1].Period.String() + " was last dealt with"
	}
	through := cs.Through(c.At)
	asked, waits := cs.Asked()
	switch c.Kind {
	case Closed:
		switch {
		case through != 0 && c.Period <= through:
			return "period", c.Period.String() + " is closed already"
		case through != 0 && c.Period != through.Next():
			return "period", c.Period.String() + " cannot be closed before " + through.Next().String() + ": close that first"
		}
	case AskReopen:
		if through == 0 || c.Period != through {
			return "period", c.Period.String() + " is not the month closed last: only that one can be opened again"
		}
		if waits {
			return "period", asked.Who + " has asked for it already: another person has to agree"
		}
	case Reopened:
		switch {
		case through == 0 || c.Period != through:
			return "period", c.Period.String() + " is not the month closed last: only that one can be opened again"
		case !waits:
			return "period", "nobody has asked to open " + c.Period.String() + " again: one person asks, another agrees"
		case c.Who != asked.Who:
			return "who", "it was " + asked.Who + " who asked to open it again"
		case c.Second == "" || c.Second == c.Who:
			return "second", "another person than " + c.Who + " has to agree"
		}
	}
	return "", ""
}
