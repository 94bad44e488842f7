package clock

import "hulltally/costing"

// Kind says what a payload meant.
type Kind string

// The kinds of payload. Unknown is one that could not be resolved.
const (
	Unknown  Kind = ""
	Worker   Kind = "worker"
	Crew     Kind = "crew"
	Job      Kind = "job"
	Lot      Kind = "lot"
	Indirect Kind = "indirect"
	Off      Kind = "off"
	Done     Kind = "done"
	Progress Kind = "progress"
	Return   Kind = "return"
	Waste    Kind = "waste"
	Scrap    Kind = "scrap"
	Undo     Kind = "undo"
	Cancel   Kind = "cancel"
	Check    Kind = "check"
	Problem  Kind = "problem"
	Measure  Kind = "measure"
)

// Token is a payload resolved against the codes the yard has printed.
type Token struct {
	Kind    Kind
	Key     string // worker, crew, job, lot or indirect; which check or problem
	Percent int    // of a progress card
	Measure costing.Measure
	Why     string // why an unknown payload is refused
	BadSize bool   // it was meant for a quantity: nothing, below it, or too much
}

// Read is one thing a scanner sent. ID is made by the station; N is the
// station's own counter.
type Read struct {
	ID      string
	Station string
	N       int64
	At      costing.Instant
	Payload string // normalised
	Token   Token
}

// Outcome is what became of a read.
type Outcome string

// The outcomes of a read.
const (
	DidIt   Outcome = "done"
	Waiting Outcome = "waiting"
	Ignored Outcome = "ignored"
	Refused Outcome = "refused"
)

// Result is what a read did. Code is a stable word for the answer, which the
// floor's languages translate; Needs names what to scan next.
type Result struct {
	Outcome Outcome
	Code    string
	Detail  string // of a refusal: what was wrong
	Needs   []Kind
	Entry   *Entry
	Voids   string // the id of the entry that an Undo took back
}

// EntryKind says what an entry records.
type EntryKind string

// The kinds of entry.
const (
	ClockOn  EntryKind = "on"
	ClockOff EntryKind = "off"
	Issue    EntryKind = "issue"
	Returned EntryKind = "return"
	Wasted   EntryKind = "waste"
	Scrapped EntryKind = "scrap"
	SignOff  EntryKind = "progress"
	Checked  EntryKind = "check"
	Reported EntryKind = "problem"
)

// Entry is one completed sentence, or a correction. Its instant is that of the
// read that completed it.
type Entry struct {
	ID         string // of the completing read, or of the correction
	At         costing.Instant
	Station    string
	N          int64
	Correction bool
	Kind       EntryKind
	Worker     string // who clocked, issued or signed off
	Crew       string // instead of a worker
	Job        string
	Indirect   string
	Lot        string
	Quantity   costing.Quantity // as read, in the item's stock unit, or in the check's
	Percent    int
	Detail     string           // which check, or which problem
	Minutes    costing.Quantity // over which a vacuum was watched
	VoidedBy   string           // the id of the read that undid it
	VoidedAt   costing.Instant
}

// Before orders entries by (instant, station, n). At one instant a correction
// comes after what was scanned: it puts that right.
func (e *Entry) Before(o *Entry) bool {
	switch {
	case e.At != o.At:
		return e.At < o.At
	case e.Correction != o.Correction:
		return o.Correction
	case e.Station != o.Station:
		return e.Station < o.Station
	case e.N != o.N:
		return e.N < o.N
	}
	return e.ID < o.ID
}

// Compare is Before as a three-way comparison, for sorting.
func Compare(a, b *Entry) int {
	switch {
	case a.Before(b):
		return -1
	case b.Before(a):
		return 1
	}
	return 0
}

// CompareReads orders a station's reads by (instant, n).
func CompareReads(a, b *Read) int {
	switch {
	case a.At != b.At && a.At < b.At, a.At == b.At && a.N < b.N:
		return -1
	case a.At == b.At && a.N == b.N && a.ID < b.ID:
		return -1
	case a.At == b.At && a.N == b.N && a.ID == b.ID:
		return 0
	}
	return 1
}
