package costing

import (
	"cmp"
	"slices"
	"time"
)

// Yard is the master data the engine reads: who works, on what, at which
// rates, from which stock, against which estimate. It is built once and then
// only read, so that it may be shared freely.
type Yard struct {
	Name     string
	Currency Currency
	Zone     *time.Location
	Policy   Policy

	OverheadActuals []OverheadActual
	OverheadBudget  []OverheadBudget
	Uninstalled     []Uninstalled
	Handovers       map[string]Date           // by hull
	Accounts        map[Account]LedgerAccount // of the yard's own ledger

	Workers   map[string]*Worker
	Crews     map[string]*Crew
	Shifts    map[string]*Shift
	Holidays  map[Date]string
	Indirects map[string]*Indirect
	Stations  map[string]*Station
	Stages    map[string]*Stage
	Grades    map[string]Dated[Price] // standard rate per hour, on-costs included
	Hulls     map[string]*Hull
	Processes map[string]*Process
	Jobs      map[string]*Job
	Changes   map[string]*Change
	Tools     map[string]*Tool
	Items     map[string]*Item
	Lots      map[string]*Lot
	Estimate  []EstimateLine
	Budget    map[HullStage]Quantity // kilograms
	Bought    []Bought
	Billing   []Bill
	Closes    Closes

	Rates      map[string]Dated[Price] // spot rates: base currency per unit of another
	Deliveries map[string]*Delivery
	Payments   []Payment
	Sheets     map[string]*CountSheet
	Said       []StatedRest         // by instant
	JobHolds   map[string][]JobHold // by the job that has to wait
	Stated     []Statement          // progress stated at a desk, by job and instant
}

// HullStage names one stage of one hull.
type HullStage struct{ Hull, Stage string }

// Dated is a value that changes from day to day: each holds from its date on.
type Dated[T any] []DatedValue[T]

// DatedValue is a value and the day it holds from.
type DatedValue[T any] struct {
	From  Date
	Value T
}

// FromStart is the date of a value that always held.
const FromStart Date = -719162 // 0001-01-01

// Add inserts a value in date order; the same date again replaces it.
func (d Dated[T]) Add(from Date, v T) Dated[T] {
	i, found := slices.BinarySearchFunc(d, from, func(e DatedValue[T], f Date) int { return cmp.Compare(e.From, f) })
	if found {
		d[i].Value = v
		return d
	}
	return slices.Insert(d, i, DatedValue[T]{from, v})
}

// On is the value on a day, and whether there is one.
func (d Dated[T]) On(day Date) (v T, ok bool) {
	for i := len(d) - 1; i >= 0; i-- {
		if d[i].From <= day {
			return d[i].Value, true
		}
	}
	return v, false
}

// Or is the value on a day, or def where there is none.
func (d Dated[T]) Or(day Date, def T) T {
	if v, ok := d.On(day); ok {
		return v
	}
	return def
}

// Policy holds the dated rules of the yard. A rule without a value has the
// default of the rules document, given by the method of its name.
type Policy struct {
	ScanGap, MaxBooking, Grace, NoShiftCap Dated[time.Duration]
	ClockRounding                          Dated[time.Duration] // 0 is none
	DailyOrdinary, WeeklyOrdinary          Dated[time.Duration]
	OvertimeMultiplier, DoubleMultiplier   Dated[Share]
	OnCost                                 Dated[Share]
	PremiumOnCost                          Dated[bool]

	// How a contract's revenue is shown; they hold by the day a hull was signed.
	Revenue, Rework, InstalledGoods Dated[string]
	RecountOver                     Dated[Share] // of the book: a count further off is asked for twice
}

// Defaults of the policies. Local law and agreements decide; these are no advice.
const (
	DefaultScanGap    = 30 * time.Second
	DefaultMaxBooking = 14 * time.Hour
	DefaultGrace      = 30 * time.Minute
	DefaultNoShiftCap = 2 * time.Hour
	DefaultDaily      = 9 * time.Hour
	DefaultWeekly     = 45 * time.Hour
	DefaultOvertime   = One + One/2
	DefaultDouble     = 2 * One
	DefaultRecount    = One / 20
)

// Worker is a person on the payroll, known by number.
type Worker struct {
	Key, Name, Grade, Crew, Shift string
	SignsOff                      bool
	Language                      string       // that stations speak to the worker; empty: their own
	Rates                         Dated[Price] // per hour
}

// Crew is a group of workers who are clocked together.
type Crew struct {
	Key, Name string
	Members   []string // worker keys, sorted
}

// Indirect is time that no hull bears: cleaning, waiting, training.
type Indirect struct{ Key, Name string }

// StationKind says what a station is for.
type StationKind string

// The kinds of station.
const (
	ClockStation  StationKind = "clock"
	StoresStation StationKind = "stores"
)

// Station is a place with a scanner.
type Station struct {
	Key, Name string
	Kind      StationKind
	Place     string // ashore or afloat
}

// Stage is a step of the build that costs are gathered by.
type Stage struct {
	Key, Name  string
	Order      int
	Absorption Dated[Price] // overhead per labour hour
	After      []string     // the stages usually done before
}

// Hull is one boat and its contract.
type Hull struct {
	Key, Model, Name string
	Price            int64 // contract currency, millionths
	PriceCurrency    string
	PriceRate        Price // base currency per unit of the contract's
	Signed           Date
	Due              *Date
}

// Purpose says why a job is done.
type Purpose string

// The purposes of a job.
const (
	Build    Purpose = "build"
	ForOrder Purpose = "change"
	Rework   Purpose = "rework"
	Warranty Purpose = "warranty"
)

// Apart reports whether the purpose is kept apart from the build: its variance
// is one whole and it says nothing of the build's efficiency.
func (p Purpose) Apart() bool { return p == Rework || p == Warranty }

// ShareOf is one hull's integer weight in a job several hulls share.
type ShareOf struct {
	Hull   string
	Weight int64
}

// Job is a piece of work with a card of its own.
type Job struct {
	Key         string
	Shares      []ShareOf // one entry with weight 1 for a job of one hull
	Stage, Part string
	Purpose     Purpose
	Change      string
	Rush        bool
	WasteFactor *Share // of net; nil: the item's
	Process     string // how its laminate is made; empty: not said
}

// Weights lists the job's weights in order.
func (j *Job) Weights() []int64 {
	w := make([]int64, len(j.Shares))
	for i, s := range j.Shares {
		w[i] = s.Weight
	}
	return w
}

// JobHold is how long a job has to stand, once it is signed off, before another
// one is begun on it: the cure before demoulding, a post-cure, paint. The
// maker's data sheet and the yard's own procedure decide.
type JobHold struct {
	Job, Kind string
	Before    string   // the job that has to wait
	Hours     Quantity // millionths of an hour
}

// Ends is when a hold that began at an instant is over.
func (h *JobHold) Ends(begun Instant) Instant {
	const msPerHour = 3_600_000
	ms, err := MulRound(int64(h.Hours), msPerHour, Million)
	if err != nil {
		return begun
	}
	return begun + Instant(ms)
}

// Statement is the progress of a job as stated at a desk.
type Statement struct {
	Job      string
	At       Instant
	Percent  int
	Who, Why string
}

// ChangeStatus says how far a change order has come.
type ChangeStatus string

// Agreed is the one status that counts.
const Agreed ChangeStatus = "agreed"

// Change is a change order of a hull.
type Change struct {
	Key, Hull, Title string
	Price            int64 // contract currency, millionths
	Status           ChangeStatus
	AgreedOn         *Date
}

// Counts reports whether the change order is agreed on a day.
func (c *Change) Counts(day Date) bool {
	return c.Status == Agreed && (c.AgreedOn == nil || *c.AgreedOn <= day)
}

// CostMethod says how an item's issues are costed (IAS 2 paragraphs 23–27).
type CostMethod string

// The cost methods: specific identification by lot, or one weighted-average pool.
const (
	ByLot     CostMethod = "lot"
	ByAverage CostMethod = "average"
)

// WasteMode says whether an issue is read gross or net of waste.
type WasteMode string

// The waste modes.
const (
	Measured WasteMode = "measured"
	Factored WasteMode = "factored"
)

// Role says what an item is in a laminate.
type Role string

// The roles that reports ask for.
const (
	Fibre      Role = "fibre"
	Resin      Role = "resin"
	Hardener   Role = "hardener"
	Core       Role = "core"
	Consumable Role = "consumable"
)

// Item is a material the stores keep.
type Item struct {
	Key, Name     string
	StockUnit     Unit
	CostMethod    CostMethod
	StandardPrice Price
	WasteMode     WasteMode
	WasteFactor   Dated[Share] // of net
	KgPerUnit     int64        // millionths; 0: not known
	AboardShare   Share
	Role          Role
	RollWidth     int64 // metres, millionths; 0: not known
	SheetArea     int64 // m², millionths; 0: not known
	Density       int64 // kg per litre, millionths; 0: not known
	HardenerItem  string
	HardenerParts int64 // by weight per 100 parts, millionths
	OpenLife      int   // days a lot keeps once it was opened; 0: no shorter for it
	Whole         bool  // issued in whole units only
}

// Element is a kind of cost.
type Element string

// The elements of cost, in the order they are shown.
const (
	Labour   Element = "labour"
	Material Element = "material"
	BoughtIn Element = "bought-in"
	Overhead Element = "overhead"
)

// EstimateLine is one line of a job's estimate.
type EstimateLine struct {
	Job, Change string
	Element     Element
	Key         string   // grade, item or words
	Quantity    Quantity // hours, net quantity, or 1
	Waste       Share    // of net
	Rate        Price    // standard rate, standard price or amount
	Plies       int      // layers of a reinforcement; 0: not said
}

// Bought is a purchase line charged straight to a hull.
type Bought struct {
	Document    string
	Date        Date
	Hull, Stage string
	Description string
	Purpose     Purpose
	Amount      Money
	Foreign     Foreign // as it was agreed
}

// StatedRest is what an estimator stated that is still to be spent on an
// element of a hull's stage, and why.
type StatedRest struct {
	Hull, Stage string
	Element     Element
	Apart       bool // of rework and warranty
	At          Instant
	Rest        *Money // nil takes back what was stated before
	Spent       *Money // what had been spent then; nil: not said
	Who, Why    string
}

// Bill is a claim on the hull's customer.
type Bill struct {
	Hull        string
	Date        Date
	Description string
	Amount      Money
}
