package models

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recost"
)

// refold is a worker's labour computed again from the week of a change on, and
// compared week by week with what is stored.
type refold struct {
	l      *labour
	worker string
	monday string // the first week computed again

	start    *workerFold            // the checkpoint before it, if any
	stored   map[string]*workerFold // by week, from monday on
	head     string                 // the week of the stored head
	postings map[string][]costing.Posting
	pieces   map[string][]clock.Piece
}

// again computes a worker from the week of the earliest change on. It stops
// where a week ends as it is stored, beyond the latest change: from there on
// nothing can differ.
func (l *labour) again(worker string, t *touchedWorker, head *workerFold) error {
	y := l.d.snap.Yard
	monday := costing.DateOf(t.from, y.Zone).Monday()
	r := &refold{l: l, worker: worker, monday: monday.String()}
	if err := r.load(head); err != nil {
		return err
	}
	entries, err := r.entries(monday, t.fresh)
	if err != nil {
		return err
	}
	var from clock.Fold
	if r.start != nil {
		c, err := r.start.checkpoint()
		if err != nil {
			return err
		}
		from = c.Fold
	}
	var rows []workerFold
	stopped := false
	err = recost.Labour(y, y.Workers[worker], from, entries, func(c recost.Checkpoint, pieces []clock.Piece) (bool, error) {
		row, err := r.week(&c, pieces)
		if err != nil {
			return false, err
		}
		rows = append(rows, row)
		was := r.stored[row.Week]
		stopped = t.until < (c.Week+7).At(0, y.Zone) && was != nil && *was == row
		return !stopped, nil
	})
	if err != nil {
		return err
	}
	return r.settle(rows, stopped)
}

// endOfTime is later than any instant.
const endOfTime = costing.Instant(1<<63 - 1)

func (r *refold) load(head *workerFold) error {
	db := r.l.d.tx.DB
	r.stored = map[string]*workerFold{}
	var weeks []*workerFold
	if err := db.Table(weeksTable).Find(&weeks, "worker = ? AND week >= ?", r.worker, r.monday).Error; err != nil {
		return err
	}
	if head != nil {
		r.head = head.Week
		if head.Week >= r.monday {
			weeks = append(weeks, head)
		} else {
			r.start = head
		}
	}
	for _, w := range weeks {
		r.stored[w.Week] = w
	}
	if r.start == nil {
		var before []*workerFold
		err := db.Table(weeksTable).Order("week DESC").Limit(1).Find(&before, "worker = ? AND week < ?", r.worker, r.monday).Error
		if err != nil {
			return err
		}
		if len(before) > 0 {
			r.start = before[0]
		}
	}
	from, to := weekUnit(r.worker, r.monday), weekUnit(r.worker, "9999-12-31")
	var err error
	if r.postings, err = r.l.d.tx.storedPostings("unit >= ? AND unit <= ?", from, to); err != nil {
		return err
	}
	r.pieces, err = r.l.d.tx.storedPieces("unit >= ? AND unit <= ?", from, to)
	return err
}

// entries are all that count for the worker from a Monday on. What is new in
// this transaction is not stored yet.
func (r *refold) entries(monday costing.Date, fresh []*clock.Entry) ([]*clock.Entry, error) {
	y := r.l.d.snap.Yard
	start := monday.At(0, y.Zone)
	var rows []entryRecord
	w := y.Workers[r.worker]
	q := r.l.d.tx.DB.Where("worker = ? AND at_ms >= ? AND kind IN ('on', 'off')", r.worker, start)
	if w.Crew != "" {
		q = q.Or("crew = ? AND at_ms >= ? AND kind IN ('on', 'off')", w.Crew, start)
	}
	if err := q.Find(&rows).Error; err != nil {
		return nil, err
	}
	list := entriesOf(rows)
	have := map[string]bool{}
	for _, e := range list {
		have[e.ID] = true
	}
	for _, e := range fresh {
		if !have[e.ID] {
			list = append(list, e)
		}
	}
	var corrections []*clock.Correction
	for _, c := range r.l.d.snap.Corrections[r.worker] {
		if c.At >= start {
			corrections = append(corrections, c)
		}
	}
	list, _ = clock.Corrected(list, corrections)
	return list, nil
}

// week compares one week with what is stored and notes the difference.
func (r *refold) week(c *recost.Checkpoint, pieces []clock.Piece) (workerFold, error) {
	ps, err := weekPostings(r.l.d.snap.Yard, pieces)
	if err != nil {
		return workerFold{}, err
	}
	unit := weekUnit(r.worker, c.Week.String())
	if err := r.l.d.replace(unit, r.postings[unit], ps); err != nil {
		return workerFold{}, err
	}
	if err := r.l.d.replacePieces(unit, r.pieces[unit], pieces); err != nil {
		return workerFold{}, err
	}
	return foldRow(r.worker, c, len(pieces), len(ps))
}

// settle stores the new checkpoints, and takes out the weeks that have no
// entries any more.
func (r *refold) settle(rows []workerFold, stopped bool) error {
	l, db := r.l, r.l.d.tx.DB
	kept := map[string]bool{}
	for i := range rows {
		kept[rows[i].Week] = true
	}
	reach := "9999-12-31"
	if stopped {
		reach = rows[len(rows)-1].Week
	}
	for _, week := range slices.Sorted(maps.Keys(r.stored)) {
		if kept[week] || week > reach {
			continue
		}
		unit := weekUnit(r.worker, week)
		if err := l.d.replace(unit, r.postings[unit], nil); err != nil {
			return err
		}
		if err := l.d.replacePieces(unit, r.pieces[unit], nil); err != nil {
			return err
		}
		if err := db.Exec("DELETE FROM worker_weeks WHERE worker = ? AND week = ?", r.worker, week).Error; err != nil {
			return err
		}
	}
	if stopped {
		for _, row := range rows {
			if row.Week == r.head {
				l.heads = append(l.heads, row)
			} else {
				l.weeks = append(l.weeks, row)
			}
		}
		return nil
	}
	switch {
	case len(rows) > 0:
		if r.start != nil && r.start.Week == r.head { // the head of before is now a week among others
			l.weeks = append(l.weeks, *r.start)
		}
		last := rows[len(rows)-1]
		l.heads, l.weeks = append(l.heads, last), append(l.weeks, rows[:len(rows)-1]...)
		return db.Exec("DELETE FROM worker_weeks WHERE worker = ? AND week = ?", r.worker, last.Week).Error
	case r.start != nil:
		l.heads = append(l.heads, *r.start)
		return db.Exec("DELETE FROM worker_weeks WHERE worker = ? AND week = ?", r.worker, r.start.Week).Error
	}
	return db.Exec("DELETE FROM worker_heads WHERE worker = ?", r.worker).Error
}
