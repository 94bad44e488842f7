package clock

import (
	"time"

	"hulltally/costing"
)

// Limits of the station that no policy moves.
const (
	// UndoWithin is how long after an entry Undo still takes it back.
	UndoWithin = 60 * time.Second
	// BounceWithin is how soon the same payload again is the scanner's bounce.
	BounceWithin = 2 * time.Second
)

// Context is what a station remembers between reads.
type Context struct {
	LastAt      costing.Instant `json:"at,omitempty"`
	LastPayload string          `json:"payload,omitempty"`
	Heard       bool            `json:"heard,omitempty"`

	Worker string    `json:"worker,omitempty"`
	Crew   string    `json:"crew,omitempty"`
	Job    string    `json:"job,omitempty"`
	Mode   EntryKind `json:"mode,omitempty"` // what a quantity makes; empty is an issue
	Lot    string    `json:"lot,omitempty"`
	Sign   int       `json:"sign,omitempty"` // per cent that waits for a leader's badge

	Check   string           `json:"check,omitempty"`   // waits for its value
	Valued  bool             `json:"valued,omitempty"`  // has one, and waits for the minutes too
	Value   costing.Quantity `json:"value,omitempty"`   //
	Problem bool             `json:"problem,omitempty"` // waits for its picture

	LastEntry string          `json:"entry,omitempty"` // what Undo would take back
	EntryAt   costing.Instant `json:"entry_at,omitempty"`
}

// forget empties the context. What the station did last stays undoable.
func (c *Context) forget() {
	*c = Context{
		LastAt: c.LastAt, LastPayload: c.LastPayload, Heard: c.Heard,
		LastEntry: c.LastEntry, EntryAt: c.EntryAt,
	}
}

// Quiet reports whether a read at an instant finds nothing left of the reads
// before: neither context, nor bounce, nor anything to undo.
func (c *Context) Quiet(at costing.Instant, gap time.Duration) bool {
	return !c.Heard || since(c.LastAt, at) > max(gap, UndoWithin, BounceWithin)
}

func since(from, to costing.Instant) time.Duration {
	return time.Duration(to-from) * time.Millisecond
}

// Hear extends the station's sentence with its next read in (instant, n) order.
func (c *Context) Hear(y *costing.Yard, r *Read) Result {
	st := y.Stations[r.Station]
	if st == nil {
		return refuse("unknown_station", r.Station)
	}
	gap := y.Policy.ScanGap.Or(costing.DateOf(r.At, y.Zone), costing.DefaultScanGap)
	bounce := c.Heard && c.LastPayload == r.Payload && since(c.LastAt, r.At) <= BounceWithin
	// "Until 30 s pass without a read": at 30 s they have passed.
	if c.Heard && since(c.LastAt, r.At) >= gap {
		c.forget()
	}
	if since(c.EntryAt, r.At) > UndoWithin {
		c.LastEntry, c.EntryAt = "", 0 // so that a context says the same wherever hearing began
	}
	c.Heard, c.LastAt, c.LastPayload = true, r.At, r.Payload
	if bounce {
		return Result{Outcome: Ignored, Code: "bounce"}
	}
	res := c.hear(y, st, r)
	if res.Entry != nil {
		c.LastEntry, c.EntryAt = res.Entry.ID, res.Entry.At
	}
	return res
}

func (c *Context) hear(y *costing.Yard, st *costing.Station, r *Read) Result {
	clocks := st.Kind == costing.ClockStation
	switch k := r.Token.Kind; k {
	case Worker:
		return c.worker(y, clocks, r)
	case Crew:
		c.forget()
		c.Crew = r.Token.Key
		return wait("crew", nextAfterBadge(clocks)...)
	case Job:
		c.Job, c.Mode, c.Lot = r.Token.Key, "", ""
		c.let()
		if clocks && c.known() {
			return c.clock(r, Entry{Kind: ClockOn, Job: r.Token.Key}, "clocked_on")
		}
		return wait("job", Lot)
	case Indirect:
		if !clocks {
			return refuse("clock_elsewhere", "")
		}
		if !c.known() {
			return refuse("badge_first", "")
		}
		c.let()
		return c.clock(r, Entry{Kind: ClockOn, Indirect: r.Token.Key}, "clocked_on_indirect")
	case Off:
		if !clocks {
			return refuse("clock_elsewhere", "")
		}
		if !c.known() {
			return refuse("badge_first", "")
		}
		c.let()
		return c.clock(r, Entry{Kind: ClockOff}, "clocked_off")
	case Lot:
		if c.Job == "" && c.Mode != Scrapped {
			return refuse("job_first", "")
		}
		c.Lot = r.Token.Key
		c.let()
		return wait("lot", Measure)
	case Measure:
		if c.Check != "" {
			return c.checked(r)
		}
		return c.quantity(y, r)
	case Return, Waste:
		if c.Job == "" {
			return refuse("job_first", "")
		}
		c.Mode, c.Lot = Returned, ""
		c.let()
		if k == Waste {
			c.Mode = Wasted
		}
		return wait(string(k), Lot)
	case Scrap:
		if clocks {
			return refuse("scrap_at_stores", "")
		}
		c.Job, c.Lot, c.Mode = "", "", Scrapped
		c.let()
		return wait("scrap", Lot)
	case Done, Progress:
		return c.progress(clocks, r)
	case Check:
		return c.check(r)
	case Problem:
		return c.problem(r)
	case Undo:
		return c.undo(r)
	case Cancel:
		c.forget()
		return Result{Outcome: DidIt, Code: "cancelled"}
	}
	if r.Token.BadSize {
		return refuse("bad_quantity", r.Token.Why)
	}
	return refuse("unknown_code", r.Token.Why)
}

func (c *Context) known() bool { return c.Worker != "" || c.Crew != "" }

func (c *Context) worker(y *costing.Yard, clocks bool, r *Read) Result {
	if c.Sign == 0 && c.asks() {
		return c.noter(r)
	}
	if c.Sign == 0 {
		c.forget()
		c.Worker = r.Token.Key
		return wait("worker", nextAfterBadge(clocks)...)
	}
	job, percent := c.Job, c.Sign
	c.forget()
	w := y.Workers[r.Token.Key]
	if w == nil || !w.SignsOff {
		return refuse("may_not_sign", r.Token.Key)
	}
	e := entry(r, Entry{Kind: SignOff, Worker: w.Key, Job: job, Percent: percent})
	return Result{Outcome: DidIt, Code: "signed", Entry: e}
}

func (c *Context) clock(r *Read, e Entry, code string) Result {
	e.Worker, e.Crew = c.Worker, c.Crew
	return Result{Outcome: DidIt, Code: code, Entry: entry(r, e)}
}

func (c *Context) quantity(y *costing.Yard, r *Read) Result {
	if c.Lot == "" {
		return refuse("lot_first", "")
	}
	lot := y.Lots[c.Lot]
	if lot == nil || y.Items[lot.Item] == nil {
		return refuse("unknown_code", c.Lot)
	}
	q, err := y.Items[lot.Item].InStockUnit(r.Token.Measure)
	if err != nil {
		return refuse("no_conversion", err.Error())
	}
	if q <= 0 {
		return refuse("no_quantity", r.Payload)
	}
	if y.Items[lot.Item].Whole && q%costing.Million != 0 {
		return refuse("whole_units", r.Payload)
	}
	kind, code := c.Mode, string(c.Mode)
	if kind == "" {
		kind, code = Issue, "issue"
	}
	e := Entry{Kind: kind, Worker: c.Worker, Job: c.Job, Lot: c.Lot, Quantity: q}
	return Result{Outcome: DidIt, Code: "did_" + code, Entry: entry(r, e)}
}

func (c *Context) progress(clocks bool, r *Read) Result {
	if !clocks {
		return refuse("clock_elsewhere", "")
	}
	if c.Job == "" {
		return refuse("job_first", "")
	}
	c.let()
	c.Sign = r.Token.Percent
	if r.Token.Kind == Done {
		c.Sign = 100
	}
	return wait("sign", Worker)
}

func (c *Context) undo(r *Read) Result {
	if c.LastEntry == "" || since(c.EntryAt, r.At) > UndoWithin {
		return refuse("nothing_to_undo", "")
	}
	voids := c.LastEntry
	c.LastEntry = ""
	c.let()
	return Result{Outcome: DidIt, Code: "undone", Voids: voids}
}

func entry(r *Read, e Entry) *Entry {
	e.ID, e.At, e.Station, e.N = r.ID, r.At, r.Station, r.N
	return &e
}

// nextAfterBadge: at a stores station a badge only says who issues.
func nextAfterBadge(clocks bool) []Kind {
	if clocks {
		return []Kind{Job, Indirect, Off}
	}
	return []Kind{Job}
}

func refuse(code, detail string) Result { return Result{Outcome: Refused, Code: code, Detail: detail} }

func wait(code string, needs ...Kind) Result {
	return Result{Outcome: Waiting, Code: code, Needs: needs}
}
