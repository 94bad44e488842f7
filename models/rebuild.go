package models

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
)

// Difference is one kept thing that is not what it should be.
type Difference struct {
	Where, Kept, Computed string
}

// String says where and what, on one line.
func (d Difference) String() string {
	return fmt.Sprintf("%s: kept %s, computed %s", d.Where, d.Kept, d.Computed)
}

// mostDifferences bounds the list: a broken database needs no longer one.
const mostDifferences = 1000

// Check computes everything derived anew from what was recorded and lists what
// is kept otherwise.
func (s *Store) Check(ctx context.Context, progress func(step string, done, total int)) ([]Difference, error) {
	if progress == nil {
		progress = func(string, int, int) {}
	}
	var list []Difference
	err := s.Read(ctx, func(tx *Tx) (err error) {
		list, err = tx.check(ctx, progress)
		return err
	})
	return list, err
}

// check is Check within a transaction.
func (tx *Tx) check(ctx context.Context, progress func(step string, done, total int)) ([]Difference, error) {
	snap, err := tx.Snapshot(ctx)
	if err != nil {
		return nil, err
	}
	c := &checking{ctx: ctx, tx: tx, snap: snap, progress: progress, totals: costing.NewTotals(), made: map[string]int{}}
	for _, step := range []func() error{c.reads, c.keptHeads, c.labour, c.stock, c.bought, c.orphans, c.keptFrozen, c.keptTotals} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return c.list, nil
}

type checking struct {
	ctx      context.Context
	tx       *Tx
	snap     *Snapshot
	progress func(step string, done, total int)
	list     []Difference
	entries  []*clock.Entry // computed
	totals   *costing.Totals
	heads    []stationHead  // computed
	made     map[string]int // how many rows of each derived table there should be
}

func (c *checking) differ(where string, kept, computed any) {
	if len(c.list) < mostDifferences {
		c.list = append(c.list, Difference{where, fmt.Sprintf("%+v", kept), fmt.Sprintf("%+v", computed)})
	}
}

// reads hears every read again, station by station.
func (c *checking) reads() error {
	rows, err := c.tx.DB.WithContext(c.ctx).Model(&readRecord{}).Order("station, at_ms, n, id").Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	h := &hearing{tx: c.tx, ctx: c.ctx, snap: c.snap, made: map[string]*clock.Entry{}}
	var context clock.Context
	var last readRecord
	n := 0
	for rows.Next() {
		var r readRecord
		if err := rows.Scan(&r.ID, &r.Station, &r.N, &r.AtMs, &r.Payload, &r.ReceivedMs, &r.Flag, &r.Outcome, &r.Code, &r.Detail); err != nil {
			return err
		}
		if r.Station != last.Station {
			if err := c.head(&last, &context); err != nil {
				return err
			}
			context = clock.Context{}
		}
		is := r
		h.hear(&context, &is)
		if is != r {
			c.differ("read "+r.ID, r, is)
		}
		last = r
		if n++; n%10_000 == 0 {
			c.progress("reads", n, n)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if err := c.head(&last, &context); err != nil {
		return err
	}
	for _, e := range h.made {
		c.entries = append(c.entries, e)
	}
	return c.keptEntries(h.made)
}

func (c *checking) keptEntries(computed map[string]*clock.Entry) error {
	rows, err := c.tx.DB.WithContext(c.ctx).Raw("SELECT id, at_ms, station, n, kind, worker, crew, job, indirect, lot, quantity, percent, detail, minutes, " +
		"voided_by, voided_at_ms FROM entries").Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	n := 0
	for rows.Next() {
		var e entryRecord
		if err := rows.Scan(&e.ID, &e.AtMs, &e.Station, &e.N, &e.Kind, &e.Worker, &e.Crew, &e.Job, &e.Indirect, &e.Lot,
			&e.Quantity, &e.Percent, &e.Detail, &e.Minutes, &e.VoidedBy, &e.VoidedAtMs); err != nil {
			return err
		}
		n++
		kept, is := e.entry(), computed[e.ID]
		switch {
		case is == nil:
			c.differ("entry "+e.ID, *kept, "nothing")
		case *is != *kept:
			c.differ("entry "+e.ID, *kept, *is)
		}
	}
	if n < len(computed) {
		c.differ("entries", n, len(computed))
	}
	return rows.Err()
}

// labour folds every worker from the first entry on.
func (c *checking) labour() error {
	y := c.snap.Yard
	byWorker := recost.ByWorker(y, c.entries)
	workers := make([]string, 0, len(y.Workers))
	for w := range y.Workers {
		workers = append(workers, w)
	}
	slices.Sort(workers)
	for i, worker := range workers {
		postings, err := c.tx.storedPostings("unit >= ? AND unit <= ?", weekUnit(worker, ""), weekUnit(worker, "9999-12-31"))
		if err != nil {
			return err
		}
		pieces, err := c.tx.storedPieces("unit >= ? AND unit <= ?", weekUnit(worker, ""), weekUnit(worker, "9999-12-31"))
		if err != nil {
			return err
		}
		entries, _ := clock.Corrected(byWorker[worker], c.snap.Corrections[worker])
		var folds []workerFold
		err = recost.Labour(y, y.Workers[worker], clock.Fold{}, entries, func(ck recost.Checkpoint, is []clock.Piece) (bool, error) {
			unit := weekUnit(worker, ck.Week.String())
			c.samePieces(unit, pieces[unit], is)
			ps, err := weekPostings(y, is)
			if err != nil {
				return false, err
			}
			c.samePostings(unit, postings[unit], ps)
			row, err := foldRow(worker, &ck, len(is), len(ps))
			folds = append(folds, row)
			return true, err
		})
		if err != nil {
			return err
		}
		if err := c.folds(worker, folds); err != nil {
			return err
		}
		c.progress("workers", i+1, len(workers))
	}
	return nil
}

func (c *checking) samePieces(unit string, kept, is []clock.Piece) {
	c.made["pieces"] += len(is)
	for i := range is {
		if i >= len(kept) {
			c.differ(fmt.Sprintf("piece %d of %s", i, unit), "nothing", is[i])
		} else if kept[i] != is[i] {
			c.differ(fmt.Sprintf("piece %d of %s", i, unit), kept[i], is[i])
		}
	}
}

func (c *checking) samePostings(unit string, kept, is []costing.Posting) {
	c.made["postings"] += len(is)
	for i := range is {
		c.totals.Add(&is[i])
		if i >= len(kept) {
			c.differ(fmt.Sprintf("posting %d of %s", i, unit), "nothing", is[i])
		} else if kept[i] != is[i] {
			c.differ(fmt.Sprintf("posting %d of %s", i, unit), kept[i], is[i])
		}
	}
}

// stock folds every stock unit from the first event on.
func (c *checking) stock() error {
	units := recost.Units(c.snap.Yard, c.entries, endOfTime)
	s := newStores(newDerived(c.ctx, c.tx, c.snap))
	books, err := c.books()
	if err != nil {
		return err
	}
	done := 0
	order := slices.Collect(maps.Keys(units))
	stock.InOrder(c.snap.Yard, order)
	for _, u := range order {
		events := units[u]
		kept, err := c.tx.storedPostings("unit = ?", unitKey(u))
		if err != nil {
			return err
		}
		book := &stock.Book{}
		is, err := s.fold(book, events)
		if err != nil {
			return err
		}
		s.costing.Note(book)
		c.samePostings(unitKey(u), kept[unitKey(u)], is)
		if err := s.keep(u, book, events, len(is)); err != nil {
			return err
		}
		c.made["stock_books"]++
		if row := s.books[len(s.books)-1]; books[row.Unit] != row {
			c.differ("stock book "+row.Unit, books[row.Unit], row)
		}
		done++
		c.progress("stock", done, len(units))
	}
	return nil
}

func (c *checking) bought() error {
	for i := range c.snap.Yard.Bought {
		b := &c.snap.Yard.Bought[i]
		kept, err := c.tx.storedPostings("unit = ?", boughtUnit(b))
		if err != nil {
			return err
		}
		c.samePostings(boughtUnit(b), kept[boughtUnit(b)], []costing.Posting{recost.BoughtPosting(b)})
	}
	return nil
}

// orphans counts what is kept: all that is computed is kept, so more is too much.
func (c *checking) orphans() error {
	for _, table := range []string{"postings", "pieces", headsTable, weeksTable, "stock_books", "station_heads"} {
		var kept int64
		computed := c.made[table]
		if err := c.tx.DB.WithContext(c.ctx).Table(table).Count(&kept).Error; err != nil {
			return err
		}
		if int(kept) != computed {
			c.differ("number of "+table, kept, computed)
		}
	}
	return nil
}

func (c *checking) keptTotals() error {
	closes := c.snap.Yard.Closes.InForce(endOfTime)
	frozen, err := c.tx.frozenTotals(c.ctx, closes)
	if err != nil {
		return err
	}
	c.totals.Freeze(c.snap.Yard.Closes.Through(endOfTime), frozen)
	kept, err := c.tx.Totals(c.ctx)
	if err != nil {
		return err
	}
	compareTotals(c, "total", kept.Cells, c.totals.Cells)
	compareTotals(c, "total of detail", kept.Fine, c.totals.Fine)
	compareTotals(c, "account", kept.Ledger, c.totals.Ledger)
	return nil
}

func compareTotals[K, V comparable](c *checking, name string, kept, computed map[K]V) {
	var zero V
	for k, v := range computed {
		if kept[k] != v {
			c.differ(fmt.Sprintf("%s %+v", name, k), kept[k], v)
		}
	}
	for k, v := range kept {
		if _, ok := computed[k]; !ok && v != zero {
			c.differ(fmt.Sprintf("%s %+v", name, k), v, "nothing")
		}
	}
}

// Rebuild computes everything derived anew and writes what differs.
func (s *Store) Rebuild(ctx context.Context) error {
	return s.InTx(ctx, func(tx *Tx) error { return tx.rebuild(ctx) })
}

func (tx *Tx) rebuild(ctx context.Context) error {
	snap, err := tx.Snapshot(ctx)
	if err != nil {
		return err
	}
	// Nothing derived is believed: it is all taken out and made again.
	for _, table := range []string{
		"postings", "pieces", "adjustments", "totals", "fine_totals", "ledger_totals", "stock_books", headsTable, weeksTable, "entries", "station_heads",
	} {
		if err := tx.DB.Exec("DELETE FROM " + table).Error; err != nil {
			return err
		}
	}
	a := &applying{ctx: ctx, tx: tx, snap: snap, ch: &ChangeSet{}}
	return a.fromNothing()
}

// fromNothing derives everything from the reads and the yard's data, where
// nothing derived is stored.
func (a *applying) fromNothing() error {
	var stations []string
	if err := a.tx.DB.Model(&readRecord{}).Distinct().Order("station").Pluck("station", &stations).Error; err != nil {
		return err
	}
	h := &hearing{tx: a.tx, ctx: a.ctx, snap: a.snap, fresh: map[string]bool{}, made: map[string]*clock.Entry{}}
	for _, name := range stations {
		var reads []*readRecord
		if err := a.tx.DB.Order("at_ms, n, id").Find(&reads, "station = ?", name).Error; err != nil {
			return err
		}
		if err := h.rehear(name, reads, true); err != nil {
			return err
		}
	}
	if err := h.store(); err != nil {
		return err
	}
	d := newDerived(a.ctx, a.tx, a.snap).closedThrough(0) // as if nothing were closed
	l, s := newLabour(d), newStores(d)
	for w := range a.snap.Yard.Workers {
		a.whole(l, w)
	}
	if err := a.units(s, true); err != nil {
		return err
	}
	if err := l.run(); err != nil {
		return err
	}
	if err := s.run(); err != nil {
		return err
	}
	for i := range a.snap.Yard.Bought {
		b := &a.snap.Yard.Bought[i]
		if err := d.append(boughtUnit(b), 0, []costing.Posting{recost.BoughtPosting(b)}); err != nil {
			return err
		}
	}
	if err := d.flush(); err != nil {
		return err
	}
	return a.tx.freezeAll(a.ctx, a.snap.Yard.Closes)
}
