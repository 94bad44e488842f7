package models

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"

	"hulltally/costing/clock"
	"hulltally/costing/stock"

	"hulltally/costing"
)

// stockBook is a stock unit's folded state as it is stored.
type stockBook struct {
	Unit        string `gorm:"primaryKey"`
	Item        string
	Lot         string
	LastAtMs    costing.Instant
	LastRank    int64
	LastStation string
	LastN       int64
	LastSource  string
	Postings    int64
	Book        string
}

func (stockBook) TableName() string { return "stock_books" }

// unitKey names a stock unit's postings.
func unitKey(u stock.Unit) string {
	if u.Lot == "" {
		return "s/pool/" + u.Item
	}
	return "s/lot/" + u.Lot
}

func (b *stockBook) decode() (*stock.Book, error) {
	book := &stock.Book{}
	if err := json.Unmarshal([]byte(b.Book), book); err != nil {
		return nil, fmt.Errorf("the stock book of %s: %w", b.Unit, err)
	}
	return book, nil
}

// before reports whether all that the book has folded comes before an event.
func (b *stockBook) before(e *stock.Event) bool {
	return cmp.Or(cmp.Compare(b.LastAtMs, e.At), cmp.Compare(b.LastRank, int64(e.Rank())),
		cmp.Compare(b.LastStation, e.Station), cmp.Compare(b.LastN, e.N), cmp.Compare(b.LastSource, e.Source)) < 0
}

// touchedUnit is a stock unit to be computed on, or again.
type touchedUnit struct {
	fresh []stock.Event
	anew  bool
}

// stores folds the stock units that a transaction touches.
type stores struct {
	d       *derived
	touched map[stock.Unit]*touchedUnit
	books   []stockBook
	costing *stock.Costing
}

func newStores(d *derived) *stores {
	return &stores{d: d, touched: map[stock.Unit]*touchedUnit{}, costing: &stock.Costing{Yard: d.snap.Yard, AsOf: endOfTime}}
}

// entry notes an entry that is new, or with anew one that changed.
func (s *stores) entry(e *clock.Entry, anew bool) {
	ev, counts := stock.FromEntry(e)
	if ev.Kind == "" {
		return
	}
	t := s.touch(stock.UnitOf(s.d.snap.Yard, e.Lot), anew)
	if counts && !anew {
		t.fresh = append(t.fresh, ev)
	}
}

func (s *stores) touch(u stock.Unit, anew bool) *touchedUnit {
	t := s.touched[u]
	if t == nil {
		t = &touchedUnit{}
		s.touched[u] = t
	}
	t.anew = t.anew || anew
	return t
}

// run folds what is touched. A unit whose lot was cut from another comes after
// that one, and is touched by it where its share of the cost is another.
func (s *stores) run() error {
	done := map[stock.Unit]bool{}
	for depth := 0; ; depth++ {
		var units []stock.Unit
		for u := range s.touched {
			if !done[u] && stock.Depth(s.d.snap.Yard, u) <= depth {
				units = append(units, u)
				done[u] = true
			}
		}
		if err := s.level(units); err != nil {
			return err
		}
		if len(done) == len(s.touched) {
			return s.write()
		}
	}
}

// level folds units none of which is cut from another.
func (s *stores) level(units []stock.Unit) error {
	stock.InOrder(s.d.snap.Yard, units)
	stored, err := s.storedBooks(units)
	if err != nil {
		return err
	}
	if err := s.inherit(units); err != nil {
		return err
	}
	var anew []stock.Unit
	for _, u := range units {
		t, was := s.touched[u], stored[unitKey(u)]
		slices.SortFunc(t.fresh, stock.Compare)
		if t.anew || was == nil || len(t.fresh) > 0 && !was.before(&t.fresh[0]) {
			anew = append(anew, u)
			continue
		}
		if err := s.onward(u, t, was); err != nil {
			return err
		}
	}
	for part := range slices.Chunk(anew, 500) {
		if err := s.again(part, stored); err != nil {
			return err
		}
	}
	return nil
}

func (s *stores) storedBooks(units []stock.Unit) (map[string]*stockBook, error) {
	keys := make([]string, len(units))
	for i, u := range units {
		keys[i] = unitKey(u)
	}
	stored := map[string]*stockBook{}
	for part := range slices.Chunk(keys, 1000) {
		var rows []*stockBook
		if err := s.d.tx.DB.Find(&rows, "unit IN ?", part).Error; err != nil {
			return nil, err
		}
		for _, r := range rows {
			stored[r.Unit] = r
		}
	}
	return stored, nil
}

// inherit finds what offcuts cost in the stored books of their parents, where
// these were not folded just now.
func (s *stores) inherit(units []stock.Unit) error {
	y := s.d.snap.Yard
	var parents []stock.Unit
	for _, u := range units {
		l := y.Lots[u.Lot]
		if l == nil || l.Parent == "" {
			continue
		}
		if parent := stock.UnitOf(y, l.Parent); s.touched[parent] == nil {
			parents = append(parents, parent)
		}
	}
	stored, err := s.storedBooks(parents)
	if err != nil {
		return err
	}
	for _, row := range stored {
		book, err := row.decode()
		if err != nil {
			return err
		}
		s.costing.Note(book)
	}
	return nil
}

// handOn makes what a book's offcuts cost known, and touches those for which
// it is not what the stored book said.
func (s *stores) handOn(book *stock.Book, stored *stockBook) error {
	s.costing.Note(book)
	was := &stock.Book{}
	if stored != nil {
		var err error
		if was, err = stored.decode(); err != nil {
			return err
		}
	}
	for lot, cost := range book.Offcuts {
		if before, known := was.Offcuts[lot]; !known || before != cost {
			s.touch(stock.UnitOf(s.d.snap.Yard, lot), true)
		}
	}
	return nil
}

// onward extends a unit's book by events that come after it.
func (s *stores) onward(u stock.Unit, t *touchedUnit, was *stockBook) error {
	book, err := was.decode()
	if err != nil {
		return err
	}
	ps, err := s.fold(book, t.fresh)
	if err != nil {
		return err
	}
	if err := s.d.append(unitKey(u), int(was.Postings), ps); err != nil {
		return err
	}
	return s.keep(u, book, t.fresh, int(was.Postings)+len(ps))
}

// again folds units from their first event on.
func (s *stores) again(units []stock.Unit, before map[string]*stockBook) error {
	keys := make([]string, len(units))
	for i, u := range units {
		keys[i] = unitKey(u)
	}
	stored, err := s.d.tx.storedPostings("unit IN ?", keys)
	if err != nil {
		return err
	}
	events, err := s.events(units)
	if err != nil {
		return err
	}
	for i, u := range units {
		book := &stock.Book{}
		ps, err := s.fold(book, events[u])
		if err != nil {
			return err
		}
		if err := s.handOn(book, before[keys[i]]); err != nil {
			return err
		}
		if err := s.d.replace(keys[i], stored[keys[i]], ps); err != nil {
			return err
		}
		if len(events[u]) > 0 {
			err = s.keep(u, book, events[u], len(ps))
		} else {
			err = s.d.tx.DB.Exec("DELETE FROM stock_books WHERE unit = ?", keys[i]).Error
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// events are all that happened to units, sorted.
func (s *stores) events(units []stock.Unit) (map[stock.Unit][]stock.Event, error) {
	y := s.d.snap.Yard
	events := map[stock.Unit][]stock.Event{}
	var lots []string
	for _, u := range units {
		for _, key := range s.d.snap.lots[u] {
			l := y.Lots[key]
			lots = append(lots, key)
			events[u] = append(events[u], stock.Recorded(y, l, endOfTime)...)
		}
	}
	for part := range slices.Chunk(lots, 1000) {
		var rows []entryRecord
		if err := s.d.tx.DB.Find(&rows, "lot IN ? AND voided_by = ''", part).Error; err != nil {
			return nil, err
		}
		for i := range rows {
			if ev, ok := stock.FromEntry(rows[i].entry()); ok {
				u := stock.UnitOf(y, ev.Lot)
				events[u] = append(events[u], ev)
			}
		}
	}
	for _, u := range units {
		slices.SortFunc(events[u], stock.Compare)
	}
	return events, nil
}

func (s *stores) fold(book *stock.Book, events []stock.Event) ([]costing.Posting, error) {
	var all []costing.Posting
	for _, e := range events {
		ch, err := s.costing.Apply(book, e)
		if err != nil {
			return nil, err
		}
		ps, err := stock.Postings(s.d.snap.Yard, &ch)
		if err != nil {
			return nil, err
		}
		all = append(all, ps...)
	}
	return all, nil
}

func (s *stores) keep(u stock.Unit, book *stock.Book, events []stock.Event, postings int) error {
	if len(events) == 0 {
		return nil
	}
	last := &events[len(events)-1]
	text, err := json.Marshal(book)
	s.books = append(s.books, stockBook{
		unitKey(u), u.Item, u.Lot, last.At, int64(last.Rank()), last.Station, last.N, last.Source, int64(postings), string(text),
	})
	return err
}

func (s *stores) write() error {
	n := len(s.books)
	unit, item, lot, station := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	source, book := make([]string, n), make([]string, n)
	at, rank, num, postings := make([]int64, n), make([]int64, n), make([]int64, n), make([]int64, n)
	for i := range s.books {
		b := &s.books[i]
		unit[i], item[i], lot[i], station[i], source[i], book[i] = b.Unit, b.Item, b.Lot, b.LastStation, b.LastSource, b.Book
		at[i], rank[i], num[i], postings[i] = int64(b.LastAtMs), b.LastRank, b.LastN, b.Postings
	}
	return s.d.tx.Insert(s.d.ctx, "stock_books", "ON CONFLICT (unit) DO UPDATE SET item = excluded.item, lot = excluded.lot, "+
		"last_at_ms = excluded.last_at_ms, last_rank = excluded.last_rank, last_station = excluded.last_station, "+
		"last_n = excluded.last_n, last_source = excluded.last_source, postings = excluded.postings, book = excluded.book",
		Column{"unit", unit}, Column{"item", item}, Column{"lot", lot}, Column{"last_at_ms", at}, Column{"last_rank", rank},
		Column{"last_station", station}, Column{"last_n", num}, Column{"last_source", source}, Column{"postings", postings},
		Column{"book", book})
}
