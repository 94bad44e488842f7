package models

import (
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recost"
)

// touchedWorker is a worker whose labour is to be computed on, or again.
type touchedWorker struct {
	fresh []*clock.Entry  // new entries
	anew  bool            // something stored changed, or comes late: fold again
	from  costing.Instant // the earliest instant that changed
	until costing.Instant // the latest
}

// labour folds the labour of the workers that a transaction touches.
type labour struct {
	d       *derived
	touched map[string]*touchedWorker
	heads   []workerFold
	weeks   []workerFold
}

func newLabour(d *derived) *labour { return &labour{d: d, touched: map[string]*touchedWorker{}} }

// entry notes an entry that is new (or, with anew, one that changed) for
// everybody it concerns.
func (l *labour) entry(e *clock.Entry, anew bool) {
	if e.Kind != clock.ClockOn && e.Kind != clock.ClockOff {
		return
	}
	members := []string{e.Worker}
	if e.Crew != "" {
		members = nil
		if c := l.d.snap.Yard.Crews[e.Crew]; c != nil {
			members = c.Members
		}
	}
	for _, m := range members {
		t := l.touch(m, e.At, anew)
		if !anew {
			t.fresh = append(t.fresh, e)
		}
	}
}

func (l *labour) touch(worker string, at costing.Instant, anew bool) *touchedWorker {
	t := l.touched[worker]
	if t == nil {
		t = &touchedWorker{from: at, until: at}
		l.touched[worker] = t
	}
	t.from, t.until = min(t.from, at), max(t.until, at)
	t.anew = t.anew || anew
	return t
}

// run folds every touched worker: on from the head where all that is new comes
// after it, again from an earlier week where not.
func (l *labour) run() error {
	workers := make([]string, 0, len(l.touched))
	for w := range l.touched {
		workers = append(workers, w)
	}
	slices.Sort(workers)
	heads := map[string]*workerFold{}
	for part := range slices.Chunk(workers, 1000) {
		var rows []*workerFold
		if err := l.d.tx.DB.Table(headsTable).Find(&rows, "worker IN ?", part).Error; err != nil {
			return err
		}
		for _, r := range rows {
			heads[r.Worker] = r
		}
	}
	for _, w := range workers {
		if err := l.worker(w, l.touched[w], heads[w]); err != nil {
			return err
		}
	}
	if err := l.d.tx.writeFolds(l.d, headsTable, l.heads); err != nil {
		return err
	}
	return l.d.tx.writeFolds(l.d, weeksTable, l.weeks)
}

func (l *labour) worker(worker string, t *touchedWorker, head *workerFold) error {
	if l.d.snap.Yard.Workers[worker] == nil {
		return nil
	}
	slices.SortFunc(t.fresh, clock.Compare)
	if t.anew || l.corrected(worker, t.fresh) {
		return l.again(worker, t, head)
	}
	var from recost.Checkpoint
	if head != nil {
		var err error
		if from, err = head.checkpoint(); err != nil {
			return err
		}
		if !from.Last.Before(recost.KeyOf(t.fresh[0])) {
			return l.again(worker, t, head)
		}
	}
	return l.onward(worker, t.fresh, from, head)
}

// corrected: a correction is about the very instant of a new entry.
func (l *labour) corrected(worker string, fresh []*clock.Entry) bool {
	corrections := l.d.snap.Corrections[worker]
	return len(corrections) > 0 && slices.ContainsFunc(fresh, func(e *clock.Entry) bool {
		return slices.ContainsFunc(corrections, func(c *clock.Correction) bool { return c.At == e.At })
	})
}

// onward extends the head by entries that come after it.
func (l *labour) onward(worker string, entries []*clock.Entry, from recost.Checkpoint, head *workerFold) error {
	y := l.d.snap.Yard
	last := head
	err := recost.Labour(y, y.Workers[worker], from.Fold, entries, func(c recost.Checkpoint, pieces []clock.Piece) (bool, error) {
		donePieces, donePostings := 0, 0
		if last != nil && last.Week == c.Week.String() {
			donePieces, donePostings = int(last.Pieces), int(last.Postings)
		} else if last != nil {
			l.weeks = append(l.weeks, *last)
		}
		unit := weekUnit(worker, c.Week.String())
		ps, err := weekPostings(y, pieces)
		if err != nil {
			return false, err
		}
		l.d.appendPieces(unit, donePieces, pieces)
		if err := l.d.append(unit, donePostings, ps); err != nil {
			return false, err
		}
		row, err := foldRow(worker, &c, donePieces+len(pieces), donePostings+len(ps))
		last = &row
		return true, err
	})
	if last != nil && err == nil {
		l.heads = append(l.heads, *last)
	}
	return err
}

func weekPostings(y *costing.Yard, pieces []clock.Piece) ([]costing.Posting, error) {
	var all []costing.Posting
	for i := range pieces {
		ps, err := clock.Postings(y, &pieces[i])
		if err != nil {
			return nil, err
		}
		all = append(all, ps...)
	}
	return all, nil
}
