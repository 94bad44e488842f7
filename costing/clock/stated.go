package clock

import (
	"slices"

	"hulltally/costing"
)

// FromDesk are the statements of a desk as entries. Like a correction, at one
// instant they come after what was scanned.
func FromDesk(y *costing.Yard, asOf costing.Instant) []*Entry {
	var list []*Entry
	for i := range y.Stated {
		if s := &y.Stated[i]; s.At <= asOf {
			list = append(list, &Entry{ID: StatementID(s), At: s.At, Correction: true, Kind: SignOff, Job: s.Job, Percent: s.Percent})
		}
	}
	return list
}

// StatementID names a desk's statement among the entries.
func StatementID(s *costing.Statement) string { return "progress " + s.Job + " " + s.At.String() }

// SignedSince is when a job was signed off, by its statements: the first that
// said 100 % and was not taken back by a later one. Those undone are left out
// by the caller.
func SignedSince(statements []*Entry) (at costing.Instant, signed bool) {
	sorted := slices.Clone(statements)
	slices.SortFunc(sorted, Compare)
	for _, e := range sorted {
		switch {
		case e.Percent < 100:
			signed = false
		case !signed:
			at, signed = e.At, true
		}
	}
	return at, signed
}

// Wait is a hold that is not over at an instant.
type Wait struct {
	costing.JobHold
	Begun bool            // the job it is on was signed off
	Until costing.Instant // once it has begun
}

// Waits lists what a job has to wait for at an instant, the longest last.
// signed tells when a job was signed off, as of that instant.
func Waits(y *costing.Yard, job string, at costing.Instant, signed func(job string) (costing.Instant, bool)) []Wait {
	var list []Wait
	for _, h := range y.JobHolds[job] {
		begun, is := signed(h.Job)
		w := Wait{JobHold: h, Begun: is}
		if is {
			w.Until = h.Ends(begun)
		}
		if !is || w.Until > at {
			list = append(list, w)
		}
	}
	slices.SortStableFunc(list, func(a, b Wait) int {
		switch {
		case a.Begun && !b.Begun, a.Begun && b.Begun && a.Until < b.Until:
			return -1
		case b.Begun && !a.Begun, b.Begun && a.Begun && b.Until < a.Until:
			return 1
		}
		return 0
	})
	return list
}
