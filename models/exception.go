package models

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Exception is something on the floor that a person has to settle: by a
// correction, after which it is gone of itself, or by saying that it may stand.
// It never tells money.
type Exception struct {
	Kind, ID string          // ID is the same for as long as it is the same thing
	At       costing.Instant // when it happened
	Latest   costing.Instant // when the last of it became known: a word of before does not settle it
	Worker   string
	Crew     string
	Job      string
	Lot      string
	Station  string
	What     string         // what happened, in a sentence
	Ask      string         // what to do
	Fix      *CorrectionRow // that would settle it, if one would
	Problem  string         // the id of a problem that rework may be opened for

	Settled *SettledRow // the last word on it
}

// Open reports whether it still waits for somebody.
func (e *Exception) Open() bool {
	return e.Settled == nil || e.Settled.Outcome == Reopened || e.Settled.At < e.Latest
}

// ExceptionKind is one kind of exception: how they are found, and what the desk
// calls them.
type ExceptionKind struct {
	Kind string
	Name string // of several, as a heading
	find func(x *looking) ([]Exception, error)
}

// ExceptionKinds are all kinds, the most urgent first. A further kind is a file
// with its finder and a line here.
var ExceptionKinds = []ExceptionKind{
	{"problem", "Problems told of", findProblems},
	{"clock-off", "Forgotten clock-offs", findForgotten},
	{"hold", "Begun before a hold was over", findOverridden},
	{"after-sign-off", "Worked on after sign-off", findAfterSignOff},
	{"approval", "Changed since approved", findChangedWeeks},
	{"rate", "Time without a rate", findRateGaps},
	{"code", "Unknown badges and codes", findUnknownCodes},
	{"read", "Late and skewed reads", findFlaggedReads},
	{"over-issue", "More issued than there was", findOverIssues},
	{"expired", "Expired lots issued without a reason", findExpired},
}

// looking is what finders share.
type looking struct {
	ctx  context.Context
	tx   *Tx
	snap *Snapshot
	now  costing.Instant
	day  costing.Date

	open []clock.Piece // of bookings nobody has ended, counted up to now
	read bool
}

// running are the pieces of open bookings, counted up to now.
func (x *looking) running() ([]clock.Piece, error) {
	if x.read {
		return x.open, nil
	}
	var err error
	x.open, err = x.tx.openPieces(x.snap, x.now)
	x.read = err == nil
	return x.open, err
}

// Exceptions lists every exception as of now, settled ones too, by kind in the
// order of ExceptionKinds and by instant.
func (tx *Tx) Exceptions(ctx context.Context, now costing.Instant) ([]Exception, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	settled, err := tx.settled(ctx)
	if err != nil {
		return nil, err
	}
	x := &looking{ctx: ctx, tx: tx, snap: snap, now: now, day: costing.DateOf(now, snap.Yard.Zone)}
	var all []Exception
	for _, k := range ExceptionKinds {
		list, err := k.find(x)
		if err != nil {
			return nil, fmt.Errorf("exceptions of kind %s: %w", k.Kind, err)
		}
		for i := range list {
			list[i].Kind = k.Kind
			list[i].Settled = settled[[2]string{k.Kind, list[i].ID}]
		}
		slices.SortStableFunc(list, func(a, b Exception) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.ID, b.ID)) })
		all = append(all, list...)
	}
	return all, nil
}

// settled is the last word on each exception.
func (tx *Tx) settled(ctx context.Context) (map[[2]string]*SettledRow, error) {
	rows, err := settledFile.all(ctx, tx)
	last := map[[2]string]*SettledRow{}
	for i := range rows { // by kind, exception and instant
		last[[2]string{rows[i].Kind, rows[i].Exception}] = &rows[i]
	}
	return last, err
}

// OpenExceptions counts what waits on the leader's desk.
func (s *Store) OpenExceptions(ctx context.Context, now costing.Instant) (n int, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		if tx.Version == 0 {
			return nil
		}
		list, err := tx.Exceptions(ctx, now)
		for i := range list {
			if list[i].Open() {
				n++
			}
		}
		return err
	})
	return n, err
}

// openPieces are the pieces of bookings that nobody has ended, up to now.
func (tx *Tx) openPieces(snap *Snapshot, now costing.Instant) ([]clock.Piece, error) {
	open, err := tx.openFolds()
	if err != nil {
		return nil, err
	}
	return runningPieces(snap, open, now)
}

func (tx *Tx) healthOfDesk(ctx context.Context, h *Health, now costing.Instant) error {
	list, err := tx.Exceptions(ctx, now)
	if err != nil {
		return err
	}
	open := 0
	for i := range list {
		if list[i].Open() {
			open++
		}
	}
	if open == 1 {
		h.Look = append(h.Look, "1 exception waits on the team leader's desk")
	} else if open > 1 {
		h.Look = append(h.Look, fmt.Sprintf("%d exceptions wait on the team leader's desk", open))
	}
	return nil
}
