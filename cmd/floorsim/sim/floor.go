package sim

import (
	"iter"

	"hulltally/costing"
)

// A target is what a person is on: a task (its index), an indirect (below
// zero) or nothing.
const (
	offWork   = -1000
	cleaning  = -1
	waiting   = -2
	training  = -3
	meeting   = -4
	upkeep    = -5
	storework = -6
)

// Day is one day of the floor.
type Day struct {
	Date  costing.Date
	Reads []Read // in the order in which they arrived
	Facts []Fact // what really happened
}

// person is a worker on the floor.
type person struct {
	crew, block int
	trade       trade
	shift       *shiftPlan
	last        int // the task of yesterday, which one goes on with
	from, to    int // seconds of the day; to 0: not here today
	segments    []segment
	marks       []mark
}

// segment is a stretch of a day on one target, in seconds of the day.
type segment struct {
	from, to, target int
	byCrew           bool // the crew card was scanned for it
}

// mark says that a person really turned to a target.
type mark struct {
	at     costing.Instant
	target int
}

// state is how far a task is.
type state struct {
	done    int64 // seconds really worked
	hands   int   // people on it today
	quarter int   // of the progress last stated
	signed  bool
	bought  bool
	started bool
	lines   []drawn
}

// floor plays the yard day by day. Everything that changes lives here, so that
// a World can be played any number of times.
type floor struct {
	w       *World
	d       dice // people
	goods   dice // material
	day     costing.Date
	people  []person
	members [][]int // people by crew
	states  []state
	active  []int // hulls on the floor
	next    int   // the next hull to be released
	open    map[trade][]int
	opened  []int           // all open tasks
	reached [][]int64       // by hull and stage, thousandths
	billed  map[string]bool // milestones and changes
	desk    desk
	facts   []Fact
	store   store

	lotRows     []Lot
	invoices    []Invoice
	counts      []Count
	corrections []Correction
	bought      []Bought
	billing     []Bill
	codes       []Code
}

func newFloor(w *World) *floor {
	f := &floor{
		w: w, d: newDice(w.Config.Seed, 4), goods: newDice(w.Config.Seed, 5), billed: map[string]bool{},
		members: make([][]int, len(w.Crews)), states: make([]state, len(w.tasks)), reached: make([][]int64, len(w.Hulls)),
	}
	f.desk = newDesk(w)
	for i := range w.Workers {
		crew, trade, _ := w.place(i)
		f.people = append(f.people, person{crew: crew, block: i / 42 % w.Config.blocks(), trade: trade, shift: shiftOf(w.Workers[i].Shift), last: offWork})
		f.members[crew] = append(f.members[crew], i)
	}
	for i, t := range w.tasks {
		f.states[i].lines = make([]drawn, len(t.lines))
	}
	f.store = newStore()
	return f
}

// days plays the simulation, one day after another.
func (f *floor) days() iter.Seq[*Day] {
	return func(yield func(*Day) bool) {
		f.day = f.w.Config.Start
		f.stockUp()
		for ; f.day <= f.w.end; f.day++ {
			day := &Day{Date: f.day}
			f.facts = nil
			f.play()
			day.Reads = f.desk.deliver(f.day.At(24*60, f.w.zone), f.day == f.w.end)
			day.Facts = f.facts
			if !yield(day) {
				return
			}
		}
	}
}

func (f *floor) play() {
	if f.lastWorkday() {
		f.countStock() // before work, and before today's deliveries
	}
	f.goodsIn()
	f.openTasks()
	f.attend()
	f.crewCards()
	f.clockCards()
	f.drawMaterial()
	f.signOffs()
	if f.day.Weekday() == 1 && !f.w.holiday[f.day] {
		f.scrapExpired()
	}
	f.desk.place(f)
	f.recordWork()
}

// at is the instant of a second of today.
func (f *floor) at(second int) costing.Instant {
	return f.day.At(second/60, f.w.zone) + costing.Instant(second%60*1000)
}

func (f *floor) rates() *Rates { return &f.w.Config.Rates }

// Days plays the yard and hands out day after day. It may be called any
// number of times and always tells the same.
func (w *World) Days() iter.Seq[*Day] { return newFloor(w).days() }

// Reads hands out every read in the order of arrival.
func (w *World) Reads() iter.Seq[Read] {
	return func(yield func(Read) bool) {
		for day := range w.Days() {
			for _, r := range day.Reads {
				if !yield(r) {
					return
				}
			}
		}
	}
}

// Truth hands out what really happened, day by day.
func (w *World) Truth() iter.Seq[Fact] {
	return func(yield func(Fact) bool) {
		for day := range w.Days() {
			for _, f := range day.Facts {
				if !yield(f) {
					return
				}
			}
		}
	}
}
