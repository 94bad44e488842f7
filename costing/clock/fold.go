package clock

import "hulltally/costing"

// Booking is a worker's time on one job or indirect code, not yet ended.
type Booking struct {
	Entry    string          `json:"entry"` // the entry that opened it
	At       costing.Instant `json:"at"`
	Job      string          `json:"job,omitempty"`
	Indirect string          `json:"indirect,omitempty"`
	Station  string          `json:"station,omitempty"`
}

// Fold is the state of a worker's entries folded in order: the open booking,
// and the running sums of the ISO week that the last piece fell in. It is
// enough to go on from, and small enough to keep.
type Fold struct {
	Open *Booking `json:"open,omitempty"`

	Week         costing.Date `json:"week,omitempty"` // Monday
	Day          costing.Date `json:"day,omitempty"`
	DaySeconds   int64        `json:"day_s,omitempty"`  // ordinary so far on Day, by the daily limit
	WeekOrdinary int64        `json:"week_s,omitempty"` // ordinary so far in Week

	Base          costing.Series `json:"base,omitzero"`
	OnCost        costing.Series `json:"on_cost,omitzero"`
	Premium       costing.Series `json:"premium,omitzero"`
	PremiumOnCost costing.Series `json:"premium_on_cost,omitzero"`
	Overhead      costing.Series `json:"overhead,omitzero"`
}

// Clone is a copy that may be folded further without touching the original.
func (f *Fold) Clone() *Fold {
	g := *f
	return &g // Open is replaced, never changed, so the pointer may be shared
}

// Band is a pay band.
type Band string

// The pay bands.
const (
	Ordinary Band = "ordinary"
	Overtime Band = "overtime"
	Double   Band = "double"
)

// Piece is a stretch of a booking with one local date and one pay band, and
// what it cost. Start is in whole seconds since the Unix epoch.
type Piece struct {
	Worker      string
	Opened      string // the entry that opened the booking
	Closed      string // the entry that ended it; empty while it runs
	Station     string
	Date        costing.Date
	Start       int64
	Seconds     int64
	Band        Band
	Job         string
	Indirect    string
	Provisional bool
	Running     bool
	NoRate      bool

	Base, OnCost, Premium, PremiumOnCost, Overhead costing.Money
}

// Clockwork folds the entries of workers of one yard. It keeps what it looked
// up of the calendar at hand and is not for use by two goroutines at once.
type Clockwork struct {
	yard     *costing.Yard
	scale    int64 // minor units to the currency's unit
	calendar calendar
	emit     func(*Piece) error
	piece    Piece          // the one lent to emit
	stage    *costing.Stage // that absorbs overhead by the piece, if any

	worker *costing.Worker // the one last asked for, with the shift
	shift  *costing.Shift

	bookings []Booking // made ahead, the more of them the more were asked for
	made     int
}

// NewClockwork prepares folding; every finished piece is handed to emit, in
// time order. The piece is only lent for the call.
func NewClockwork(y *costing.Yard, emit func(*Piece) error) *Clockwork {
	return &Clockwork{
		yard: y, scale: y.Currency.Scale(), emit: emit,
		calendar: calendar{yard: y, days: map[costing.Date]*day{}},
	}
}

func (c *Clockwork) shiftOf(w *costing.Worker) *costing.Shift {
	if c.worker != w {
		c.worker, c.shift = w, c.yard.Shifts[w.Shift]
	}
	return c.shift
}

// Apply extends a worker's fold by the next entry in order. Entries of the
// worker's crew are weighed here: they count only for a member who is on
// something then.
func (c *Clockwork) Apply(f *Fold, w *costing.Worker, e *Entry) error {
	if e.VoidedBy != "" || e.Kind != ClockOn && e.Kind != ClockOff {
		return nil
	}
	if e.Crew != "" && !c.onWithCrew(f, e) {
		return nil
	}
	if e.Kind == ClockOn && c.already(f, e) {
		return nil
	}
	if err := c.end(f, w, e); err != nil {
		return err
	}
	f.Open = nil
	if e.Kind == ClockOn {
		f.Open = c.booking(e)
	}
	return nil
}

func (c *Clockwork) booking(e *Entry) *Booking {
	if len(c.bookings) == 0 {
		c.made = min(2*c.made+1, 31)
		c.bookings = make([]Booking, c.made)
	}
	b := &c.bookings[0]
	c.bookings = c.bookings[1:]
	*b = Booking{e.ID, e.At, e.Job, e.Indirect, e.Station}
	return b
}

// onWithCrew: the member is on a job or an indirect code then, since the same
// local day and for no longer than max_booking.
func (c *Clockwork) onWithCrew(f *Fold, e *Entry) bool {
	if f.Open == nil {
		return false
	}
	d := c.calendar.at(f.Open.At)
	return since(f.Open.At, e.At) <= d.maxBooking && d == c.calendar.at(e.At)
}

// already: clocking on to what one is already on has no effect.
func (c *Clockwork) already(f *Fold, e *Entry) bool {
	o := f.Open
	return o != nil && o.Job == e.Job && o.Indirect == e.Indirect &&
		since(o.At, e.At) <= c.calendar.at(o.At).maxBooking
}

// end closes the open booking at the next entry, or provisionally where that
// comes too late to be believed.
func (c *Clockwork) end(f *Fold, w *costing.Worker, next *Entry) error {
	if f.Open == nil {
		return nil
	}
	end, provisional := next.At, false
	if since(f.Open.At, next.At) > c.calendar.at(f.Open.At).maxBooking {
		end, provisional = min(c.presumedEnd(w, f.Open.At), next.At), true
	}
	return c.cut(f, w, end, Piece{Closed: next.ID, Provisional: provisional})
}

// Until counts the open booking, if there is one, up to now: it runs, or is
// provisional once the presumed end and the grace have passed. The fold is
// used up by it: clone before.
func (c *Clockwork) Until(f *Fold, w *costing.Worker, now costing.Instant) error {
	if f.Open == nil || now < f.Open.At {
		return nil
	}
	end, p := now, Piece{Running: true}
	presumed := c.presumedEnd(w, f.Open.At)
	if since(presumed, now) > c.calendar.at(f.Open.At).grace {
		end, p = presumed, Piece{Provisional: true}
	}
	err := c.cut(f, w, end, p)
	f.Open = nil
	return err
}

// presumedEnd is where a booking ends that nobody ended: at the shift's end;
// if it began after that, or there is no shift that day, no_shift_cap after
// its start. (Decision: a booking without a shift's end to wait for runs until
// its cap and the grace have passed, so that time to come is never costed.)
func (c *Clockwork) presumedEnd(w *costing.Worker, begun costing.Instant) costing.Instant {
	if end, ok := c.shiftOf(w).EndFor(begun, c.yard.Zone); ok && begun < end {
		return end
	}
	return begun + costing.Instant(c.calendar.at(begun).noShiftCap.Milliseconds())
}
