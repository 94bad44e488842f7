package models

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/stock"
)

// applyChanges computes anew what a load's changes touch. What is new touches
// its own unit; what changed may have been used anywhere, so everything is
// computed again and the difference written.
func (tx *Tx) applyChanges(ctx context.Context, ch *ChangeSet) error {
	snap, err := tx.Snapshot(ctx)
	if err != nil {
		return err
	}
	a := &applying{ctx: ctx, tx: tx, snap: snap, ch: ch}
	everything := changed[PolicyRow](ch) || changed[WorkerRow](ch) || changed[StationRow](ch) || rereadItems(ch) ||
		changed[JobRow](ch) || rereadLots(ch) || changed[CodeRow](ch) || added[PolicyRow](ch) && !ch.First
	if err := a.closes(); err != nil {
		return err
	}
	if err := a.rehear(everything); err != nil {
		return err
	}
	return a.compute(everything)
}

// closes freezes the months that were closed, and thaws what was opened again.
func (a *applying) closes() error {
	fresh := map[costing.Instant]bool{}
	for _, e := range EditsOf[CloseRow](a.ch) {
		fresh[e.After.At] = true
	}
	all := a.snap.Yard.Closes
	for i := range all {
		c, held := &all[i], all[:i].InForce(endOfTime)
		if !fresh[c.At] || c.Kind == costing.AskReopen {
			continue
		}
		before := all[:i].Through(endOfTime)
		if c.Kind == costing.Closed {
			if err := a.tx.applyClose(a.ctx, c, before, false); err != nil {
				return err
			}
			continue
		}
		undone := held[len(held)-1]
		before = all[:i+1].Through(endOfTime)
		if err := a.tx.applyClose(a.ctx, &undone, before, true); err != nil {
			return err
		}
	}
	return nil
}

func changed[R any](ch *ChangeSet) bool {
	return slices.ContainsFunc(EditsOf[R](ch), func(e Edit[R]) bool { return e.Before != nil })
}

func added[R any](ch *ChangeSet) bool {
	return slices.ContainsFunc(EditsOf[R](ch), func(e Edit[R]) bool { return e.Before == nil })
}

func touched[R any](ch *ChangeSet) bool { return len(EditsOf[R](ch)) > 0 }

type applying struct {
	ctx  context.Context
	tx   *Tx
	snap *Snapshot
	ch   *ChangeSet
}

// rehear hears stations again whose reads may now mean something else: all of
// them, or those that sent what the yard did not know then.
func (a *applying) rehear(everything bool) error {
	where := "code IN ('unknown_code', 'unknown_station')"
	if everything {
		where = "1 = 1"
	}
	return a.stations(where)
}

// stations hears every station again that sent a read of some kind.
func (a *applying) stations(where string, args ...any) error {
	var stations []string
	if err := a.tx.DB.Model(&readRecord{}).Distinct().Where(where, args...).Order("station").Pluck("station", &stations).Error; err != nil {
		return err
	}
	for _, name := range stations {
		if err := a.station(name); err != nil {
			return fmt.Errorf("station %s: %w", name, err)
		}
	}
	return nil
}

func (a *applying) station(name string) error {
	h := &hearing{tx: a.tx, ctx: a.ctx, snap: a.snap, fresh: map[string]bool{}, made: map[string]*clock.Entry{}}
	var reads []*readRecord
	if err := a.tx.DB.Order("at_ms, n, id").Find(&reads, "station = ?", name).Error; err != nil {
		return err
	}
	if err := h.rehear(name, reads, true); err != nil {
		return err
	}
	if len(h.again) == 0 && len(h.lost) == 0 && len(h.made) == 0 {
		return nil
	}
	return h.settle()
}

// compute folds the workers and stock units that the changes touch, and posts
// the purchase lines.
func (a *applying) compute(everything bool) error {
	d := newDerived(a.ctx, a.tx, a.snap)
	l, s := newLabour(d), newStores(d)
	if err := a.workers(l, everything); err != nil {
		return err
	}
	if err := a.units(s, everything); err != nil {
		return err
	}
	if err := l.run(); err != nil {
		return err
	}
	if err := s.run(); err != nil {
		return err
	}
	if err := a.bought(d); err != nil {
		return err
	}
	return d.flush()
}

func (a *applying) workers(l *labour, everything bool) error {
	ch := a.ch
	everybody := everything || touched[ShiftRow](ch) || touched[BreakRow](ch) || touched[HolidayRow](ch) ||
		touched[OverheadRow](ch) || touched[StageRow](ch) && !ch.First
	if everybody && !ch.First {
		for w := range a.snap.Yard.Workers {
			a.whole(l, w)
		}
		return nil
	}
	for _, e := range EditsOf[RateRow](ch) {
		if !ch.First {
			a.whole(l, e.After.Worker)
		}
	}
	for _, e := range EditsOf[WorkerRow](ch) {
		if !ch.First { // a crew's stored entries concern its new member too
			a.whole(l, e.After.Number)
		}
	}
	for _, e := range EditsOf[CorrectionRow](ch) {
		l.touch(e.After.Worker, e.After.At, true)
	}
	return nil
}

// beginning is earlier than any instant the program can meet.
const beginning = costing.Instant(-2_208_988_800_000) // 1 January 1900

// whole computes a worker again from the first entry to the last.
func (a *applying) whole(l *labour, worker string) {
	l.touch(worker, beginning, true)
	l.touch(worker, endOfTime, true)
}

func (a *applying) units(s *stores, everything bool) error {
	y := a.snap.Yard
	if everything || touched[WasteFactorRow](a.ch) && !a.ch.First {
		for lot := range y.Lots {
			s.touch(stock.UnitOf(y, lot), true)
		}
		// A lot that changed its item or cost method left a unit behind.
		var rows []stockBook
		if err := a.tx.DB.Select("item, lot").Find(&rows).Error; err != nil {
			return err
		}
		for _, r := range rows {
			s.touch(stock.Unit{Item: r.Item, Lot: r.Lot}, true)
		}
		return nil
	}
	for lot := range a.touchedLots() {
		s.touch(stock.UnitOf(y, lot), true)
	}
	return nil
}

// recordChunk is how many reads of a file are heard at a time.
const recordChunk = 2000

// recordReads takes the reads of reads.csv in; added is how many were new.
// They are heard in order of their instants, which is the quickest.
func (tx *Tx) recordReads(ctx context.Context, reads []ReadRow, received costing.Instant, progress func(done, total int)) (added int, err error) {
	sorted := slices.Clone(reads)
	slices.SortStableFunc(sorted, func(a, b ReadRow) int { return cmp.Compare(a.At, b.At) })
	done := 0
	for part := range slices.Chunk(sorted, recordChunk) {
		answers, err := tx.record(ctx, part, received)
		if err != nil {
			return added, err
		}
		for _, a := range answers {
			if !a.Known {
				added++
			}
		}
		done += len(part)
		progress(done, len(reads))
	}
	return added, nil
}

// eachRead hands over every read in (instant, station, n) order.
func (tx *Tx) eachRead(do func(ReadRow) error) error {
	rows, err := tx.DB.Raw("SELECT id, station, n, at_ms, payload FROM reads ORDER BY at_ms, station, n, id").Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r ReadRow
		if err := rows.Scan(&r.ID, &r.Station, &r.N, &r.At, &r.Payload); err != nil {
			return err
		}
		if err := do(r); err != nil {
			return err
		}
	}
	return rows.Err()
}

// ScanCounts says how many reads came out how.
type ScanCounts struct {
	Outcomes map[clock.Outcome]int
	Known    int // had been taken in before
}

// Scan records reads in the order given, a chunk a transaction: what is done
// stays done, and the same reads again do nothing.
func (s *Store) Scan(ctx context.Context, reads []ReadRow, received costing.Instant, progress func(done, total int)) (ScanCounts, error) {
	c := ScanCounts{Outcomes: map[clock.Outcome]int{}}
	done := 0
	for part := range slices.Chunk(reads, recordChunk) {
		var answers []Answer
		err := s.InTx(ctx, func(tx *Tx) (err error) {
			answers, err = tx.record(ctx, part, received)
			return err
		})
		if err != nil {
			return c, err
		}
		for _, a := range answers {
			c.Outcomes[a.Outcome]++
			if a.Known {
				c.Known++
			}
		}
		done += len(part)
		if progress != nil {
			progress(done, len(reads))
		}
	}
	return c, nil
}
