package clock

import (
	"slices"

	"hulltally/costing"
)

// Correction adds a missing entry of a worker or voids a wrong one. Its instant
// is that of the entry. Without a target a void takes back whatever was
// scanned at that instant.
type Correction struct {
	ID            string
	Worker        string
	At            costing.Instant
	Void          bool
	Off           bool // the target is clocking off
	Job, Indirect string
	Who, Why      string
}

// entry is what an adding correction puts in.
func (c *Correction) entry() *Entry {
	e := &Entry{ID: c.ID, At: c.At, Correction: true, Worker: c.Worker, Job: c.Job, Indirect: c.Indirect, Kind: ClockOn}
	if c.Off {
		e.Kind = ClockOff
	}
	return e
}

func (c *Correction) named() bool { return c.Off || c.Job != "" || c.Indirect != "" }

// hits reports whether a void is about the entry.
func (c *Correction) hits(e *Entry) bool {
	if e.At != c.At || e.VoidedBy != "" || e.Kind != ClockOn && e.Kind != ClockOff {
		return false
	}
	return !c.named() || c.Off == (e.Kind == ClockOff) && c.Job == e.Job && c.Indirect == e.Indirect
}

// Corrected puts a worker's corrections to the worker's entries and sorts
// what counts. A void takes back the scanned entries of its instant, or, where
// nothing was scanned then, an added one; so that a wrong entry and the right
// one in its place may bear one instant. unmatched lists voids that hit
// nothing. The entries given are not changed.
func Corrected(entries []*Entry, corrections []*Correction) (list []*Entry, unmatched []*Correction) {
	list = slices.Clone(entries)
	var added []*Entry
	for _, c := range corrections {
		if !c.Void {
			added = append(added, c.entry())
		}
	}
	for _, c := range corrections {
		if !c.Void {
			continue
		}
		n := len(list) + len(added)
		hits := func(e *Entry) bool { return c.hits(e) }
		before := len(list)
		list = slices.DeleteFunc(list, hits)
		if len(list) == before {
			added = slices.DeleteFunc(added, hits)
		}
		if len(list)+len(added) == n {
			unmatched = append(unmatched, c)
		}
	}
	list = append(list, added...)
	slices.SortFunc(list, Compare)
	return list, unmatched
}
