package models

import (
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
	"hulltally/costing/variance"
)

// Figures is what reports are made of: the yard's books as of an instant, as
// known now.
type Figures struct {
	At      costing.Instant
	Day     costing.Date // the local day of At
	Yard    *costing.Yard
	Totals  *costing.Totals
	Stated  estimate.Progress
	Books   map[stock.Unit]*stock.Book
	Running []clock.Piece   // what is not posted yet: bookings open at At
	Closes  []costing.Close // in force at At
	Closed  costing.Period  // the last month they close; 0: none

	asOf    costing.Instant // what invoices count: At, or all where nothing is later
	pieces  []clock.Piece   // all, where the books were computed for At
	derived bool
	coster  *stock.Costing
}

// Figures gives the books as of an instant. Where nothing recorded is later
// the kept totals serve, with what runs counted up to the instant; otherwise
// the books are computed from what had happened by then.
func (tx *Tx) Figures(ctx context.Context, at costing.Instant) (*Figures, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	f := &Figures{At: at, Day: costing.DateOf(at, snap.Yard.Zone), Yard: snap.Yard, asOf: at}
	f.Closes, f.Closed = snap.Yard.Closes.InForce(at), snap.Yard.Closes.Through(at)
	later, err := tx.happenedAfter(snap, at, f.Day)
	if err != nil {
		return nil, err
	}
	if later {
		return f, tx.computeFigures(snap, f)
	}
	return f, tx.keptFigures(ctx, snap, f)
}

// happenedAfter reports whether anything recorded is later than an instant.
func (tx *Tx) happenedAfter(snap *Snapshot, at costing.Instant, day costing.Date) (bool, error) {
	y := snap.Yard
	for _, l := range y.Lots {
		if l.Received > at || len(l.Invoices) > 0 && l.Invoices[len(l.Invoices)-1].At > at ||
			len(l.Counts) > 0 && l.Counts[len(l.Counts)-1].At > at ||
			slices.ContainsFunc(l.Landings, func(c costing.Landing) bool { return c.At > at }) {
			return true, nil
		}
	}
	if n := len(y.Closes); n > 0 && y.Closes[n-1].At > at {
		return true, nil
	}
	for _, list := range snap.Corrections {
		for _, c := range list {
			if c.At > at {
				return true, nil
			}
		}
	}
	for i := range y.Stated {
		if y.Stated[i].At > at {
			return true, nil
		}
	}
	for i := range y.Bought {
		if y.Bought[i].Date > day {
			return true, nil
		}
	}
	var n int64
	err := tx.DB.Raw("SELECT COUNT(*) FROM (SELECT 1 FROM entries WHERE at_ms > ? LIMIT 1) AS later", at).Scan(&n).Error
	if err != nil || n > 0 {
		return n > 0, err
	}
	err = tx.DB.Raw("SELECT COUNT(*) FROM entries WHERE voided_by <> '' AND voided_at_ms > ?", at).Scan(&n).Error
	return n > 0, err
}

func (tx *Tx) keptFigures(ctx context.Context, snap *Snapshot, f *Figures) error {
	var err error
	if f.Totals, err = tx.Totals(ctx); err != nil {
		return err
	}
	open, err := tx.openFolds()
	if err != nil {
		return err
	}
	if f.Running, err = runningPieces(snap, open, f.At); err != nil {
		return err
	}
	ps, err := weekPostings(snap.Yard, f.Running)
	if err != nil {
		return err
	}
	for i := range ps {
		p := ps[i].Booked(f.Closed)
		f.Totals.Add(&p)
	}
	var progress []entryRecord
	if err = tx.DB.Find(&progress, "kind = 'progress' AND voided_by = ''").Error; err != nil {
		return err
	}
	f.Stated = recost.Stated(append(entriesOf(progress), clock.FromDesk(snap.Yard, f.At)...))
	f.Books, err = tx.stockBooks()
	return err
}

// runningPieces are open bookings, counted up to an instant.
func runningPieces(snap *Snapshot, open []workerFold, at costing.Instant) ([]clock.Piece, error) {
	var list []clock.Piece
	for i := range open {
		c, err := open[i].checkpoint()
		if err != nil {
			return nil, err
		}
		pieces, err := recost.Running(snap.Yard, snap.Yard.Workers[open[i].Worker], c.Fold, at)
		if err != nil {
			return nil, err
		}
		list = append(list, pieces...)
	}
	return list, nil
}

func (tx *Tx) stockBooks() (map[stock.Unit]*stock.Book, error) {
	var rows []stockBook
	if err := tx.DB.Find(&rows).Error; err != nil {
		return nil, err
	}
	books := map[stock.Unit]*stock.Book{}
	for i := range rows {
		b, err := rows[i].decode()
		if err != nil {
			return nil, err
		}
		books[stock.Unit{Item: rows[i].Item, Lot: rows[i].Lot}] = b
	}
	return books, nil
}

func (tx *Tx) computeFigures(snap *Snapshot, f *Figures) error {
	facts, err := tx.facts(snap, f.At)
	if err != nil {
		return err
	}
	books, err := recost.Everything(facts, nil)
	if err != nil {
		return err
	}
	f.derived, f.pieces = true, books.Pieces
	f.Totals, f.Stated, f.Books = books.Totals, books.Progress, books.Stock
	frozen, err := tx.frozenTotals(tx.DB.Statement.Context, f.Closes)
	if err != nil {
		return err
	}
	f.Totals.Freeze(f.Closed, frozen)
	for i := range f.pieces {
		if f.pieces[i].Closed == "" { // provisional ones too: nobody ended them
			f.Running = append(f.Running, f.pieces[i])
		}
	}
	return nil
}

// facts are what was recorded by an instant.
func (tx *Tx) facts(snap *Snapshot, at costing.Instant) (recost.Facts, error) {
	var rows []entryRecord
	if err := tx.DB.Find(&rows, "at_ms <= ?", at).Error; err != nil {
		return recost.Facts{}, err
	}
	facts := recost.Facts{Yard: snap.Yard, Entries: entriesOf(rows), AsOf: at}
	for _, list := range snap.Corrections {
		facts.Corrections = append(facts.Corrections, list...)
	}
	return facts, nil
}

// Cost sets actual cost against estimate and allowed cost.
func (f *Figures) Cost() (*Cost, error) {
	c := &Cost{Figures: f, Plan: estimate.Build(f.Yard, f.Day)}
	var err error
	if c.Rows, err = variance.Rows(f.Yard, c.Plan, f.Stated, f.Totals); err != nil {
		return nil, err
	}
	if c.Cells, err = forecast.Cells(c.Plan, f.Stated, c.Rows); err != nil {
		return nil, err
	}
	c.Cells = forecast.Say(c.Cells, f.Yard.Said, f.At)
	c.Margins, err = forecast.Margins(f.Yard, f.Day, c.Rows, c.Cells)
	return c, err
}

// Cost is the cost of every hull and stage with its variances, forecast and margin.
type Cost struct {
	*Figures
	Plan    *estimate.Plan
	Rows    []variance.Row
	Cells   []forecast.Cell
	Margins []forecast.Margin
}

// Pieces hands over the priced pieces of working time dated within two days,
// both included, what runs among them.
func (tx *Tx) Pieces(f *Figures, from, to costing.Date, do func(*clock.Piece) error) error {
	pieces := f.pieces
	if !f.derived {
		stored, err := tx.storedPieces("worker IN (SELECT number FROM workers) AND date >= ? AND date <= ?", from.String(), to.String())
		if err != nil {
			return err
		}
		for _, list := range stored {
			for i := range list {
				if err := do(&list[i]); err != nil {
					return err
				}
			}
		}
		pieces = f.Running
	}
	for i := range pieces {
		if d := pieces[i].Date; d >= from && d <= to {
			if err := do(&pieces[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// Worth is what a stock unit is worth.
func (f *Figures) Worth(u stock.Unit) costing.Money {
	return f.costing().Worth(u, f.Books[u])
}

// costing is how the books of the figures were costed.
func (f *Figures) costing() *stock.Costing {
	if f.coster == nil {
		f.coster = &stock.Costing{Yard: f.Yard, AsOf: f.asOf}
		for _, b := range f.Books {
			f.coster.Note(b)
		}
	}
	return f.coster
}
