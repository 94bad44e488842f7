package recost

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/stock"
)

// Facts are what was recorded.
type Facts struct {
	Yard        *costing.Yard
	Entries     []*clock.Entry
	Corrections []*clock.Correction
	// AsOf leaves out what had not happened by then; what runs counts up to it.
	AsOf costing.Instant
}

// Books is everything derived.
type Books struct {
	Totals   *costing.Totals
	Pieces   []clock.Piece
	Stock    map[stock.Unit]*stock.Book
	Postings int // how many there are
	Progress estimate.Progress
	// Unmatched are voiding corrections that hit nothing.
	Unmatched []*clock.Correction
}

// Everything derives all books from the facts as of an instant. each is handed
// every posting, lent for the call, and may be nil.
func Everything(f Facts, each func(*costing.Posting) error) (*Books, error) {
	r := &run{
		f: f, day: costing.DateOf(f.AsOf, f.Yard.Zone), each: each,
		b: &Books{Stock: map[stock.Unit]*stock.Book{}}, tally: costing.NewTally(),
	}
	entries := append(happened(f.Entries, f.AsOf), clock.FromDesk(f.Yard, f.AsOf)...)
	r.b.Progress = Stated(entries)
	if err := r.labour(entries); err != nil {
		return nil, err
	}
	if err := r.stock(entries); err != nil {
		return nil, err
	}
	if err := r.bought(); err != nil {
		return nil, err
	}
	r.b.Totals = r.tally.Totals()
	return r.b, nil
}

type run struct {
	f    Facts
	day  costing.Date
	each func(*costing.Posting) error
	b    *Books

	tally *costing.Tally
	used  []costing.Posting // room for the next postings
}

// happened keeps the entries that had been made by an instant. What was undone
// later than that still stands then.
func happened(entries []*clock.Entry, asOf costing.Instant) []*clock.Entry {
	list := make([]*clock.Entry, 0, len(entries))
	for _, e := range entries {
		if e.At > asOf {
			continue
		}
		if e.VoidedBy != "" && e.VoidedAt > asOf {
			undone := *e
			undone.VoidedBy = ""
			e = &undone
		}
		list = append(list, e)
	}
	return list
}

func (r *run) post(ps []costing.Posting, err error) error {
	if err != nil {
		return err
	}
	if err := costing.CheckBalance(ps); err != nil {
		return err
	}
	r.used = ps[:0]
	for i := range ps {
		r.tally.Add(&ps[i])
		r.b.Postings++
		if r.each != nil {
			if err := r.each(&ps[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *run) labour(entries []*clock.Entry) error {
	y := r.f.Yard
	byWorker := ByWorker(y, entries)
	corrections := map[string][]*clock.Correction{}
	for _, c := range r.f.Corrections {
		if c.At <= r.f.AsOf {
			corrections[c.Worker] = append(corrections[c.Worker], c)
			if byWorker[c.Worker] == nil {
				byWorker[c.Worker] = []*clock.Entry{}
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(byWorker)) {
		list, unmatched := clock.Corrected(byWorker[key], corrections[key])
		r.b.Unmatched = append(r.b.Unmatched, unmatched...)
		if err := r.worker(y.Workers[key], list); err != nil {
			return err
		}
	}
	return nil
}

func (r *run) worker(w *costing.Worker, entries []*clock.Entry) error {
	var last clock.Fold
	err := Labour(r.f.Yard, w, clock.Fold{}, entries, func(c Checkpoint, pieces []clock.Piece) (bool, error) {
		last = c.Fold
		return true, r.pieces(pieces)
	})
	if err != nil {
		return err
	}
	running, err := Running(r.f.Yard, w, last, r.f.AsOf)
	if err != nil {
		return err
	}
	return r.pieces(running)
}

func (r *run) pieces(pieces []clock.Piece) error {
	for i := range pieces {
		if err := r.post(clock.AppendPostings(r.used, r.f.Yard, &pieces[i])); err != nil {
			return err
		}
	}
	r.b.Pieces = append(r.b.Pieces, pieces...)
	return nil
}

// stock folds every unit: the events of its lots in order.
func (r *run) stock(entries []*clock.Entry) error {
	units := Units(r.f.Yard, entries, r.f.AsOf)
	c := stock.Costing{Yard: r.f.Yard, AsOf: r.f.AsOf}
	keys := slices.Collect(maps.Keys(units))
	stock.InOrder(r.f.Yard, keys)
	for _, u := range keys {
		book := &stock.Book{}
		r.b.Stock[u] = book
		for _, e := range units[u] {
			ch, err := c.Apply(book, e)
			if err != nil {
				return err
			}
			if err := r.post(stock.AppendPostings(r.used, r.f.Yard, &ch)); err != nil {
				return err
			}
		}
		c.Note(book)
	}
	return nil
}

// Units lists the events of every stock unit, sorted, as of an instant.
func Units(y *costing.Yard, entries []*clock.Entry, asOf costing.Instant) map[stock.Unit][]stock.Event {
	units := map[stock.Unit][]stock.Event{}
	add := func(e stock.Event) {
		u := stock.UnitOf(y, e.Lot)
		units[u] = append(units[u], e)
	}
	for _, l := range y.Lots {
		for _, e := range stock.Recorded(y, l, asOf) {
			add(e)
		}
	}
	for _, e := range entries {
		if ev, ok := stock.FromEntry(e); ok {
			add(ev)
		}
	}
	for _, events := range units {
		slices.SortFunc(events, stock.Compare)
	}
	return units
}

func (r *run) bought() error {
	for i := range r.f.Yard.Bought {
		b := &r.f.Yard.Bought[i]
		if b.Date <= r.day {
			if err := r.post([]costing.Posting{BoughtPosting(b)}, nil); err != nil {
				return err
			}
		}
	}
	return nil
}

// BoughtPosting is the double entry of a purchase line.
func BoughtPosting(b *costing.Bought) costing.Posting {
	return costing.Posting{
		Source: "bought " + b.Document, Date: b.Date, Debit: costing.WorkInProgress, Credit: costing.Creditors,
		Hull: b.Hull, Stage: b.Stage, Element: costing.BoughtIn, Purpose: b.Purpose,
		Detail: b.Description, Amount: b.Amount,
	}
}

// Stated is what each job has last stated of its progress.
func Stated(entries []*clock.Entry) estimate.Progress {
	last := map[string]*clock.Entry{}
	for _, e := range entries {
		if e.Kind != clock.SignOff || e.VoidedBy != "" {
			continue
		}
		if l := last[e.Job]; l == nil || l.Before(e) {
			last[e.Job] = e
		}
	}
	p := estimate.Progress{}
	for job, e := range last {
		p[job] = e.Percent
	}
	return p
}
