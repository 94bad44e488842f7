package models

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/stock"
)

// DeskItem is what a stores desk has to know of an item. It holds no price.
type DeskItem struct {
	*costing.Item
	Units  []costing.Unit // a quantity may be given in, the stock unit first
	Factor costing.Share  // of a factored item: what leaves the lot beyond the net quantity read
}

// DeskLot is a lot as a stores desk sees it.
type DeskLot struct {
	*costing.Lot
	Payload   string // of its label; empty where it has none in force
	Remaining costing.Quantity
}

// Shelf is what the stores hold: the lots with something in the book, and the
// cards that a desk's keys stand for.
type Shelf struct {
	Day   costing.Date
	Items []DeskItem
	Lots  []DeskLot // by item, then first to expire, then first received
	Cards map[clock.Kind]string
}

// deskCards are the wall cards that a desk has keys for.
var deskCards = []clock.Kind{clock.Return, clock.Waste, clock.Scrap, clock.Undo, clock.Cancel}

// Shelf lists what the stores hold at an instant.
func (tx *Tx) Shelf(ctx context.Context, now costing.Instant) (*Shelf, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	books, err := tx.stockBooks()
	if err != nil {
		return nil, err
	}
	y := snap.Yard
	s := &Shelf{Day: costing.DateOf(now, y.Zone), Cards: map[clock.Kind]string{}}
	for _, key := range sorted(y.Items) {
		s.Items = append(s.Items, deskItem(y.Items[key], s.Day))
	}
	codes := snap.inForce("lot")
	for _, b := range books {
		for key, shelf := range b.Lots {
			if l := y.Lots[key]; l != nil && shelf.Closing() != 0 {
				s.Lots = append(s.Lots, DeskLot{l, codes[key], shelf.Closing()})
			}
		}
	}
	slices.SortFunc(s.Lots, firstExpired)
	for _, kind := range deskCards {
		s.Cards[kind] = snap.inForce(string(kind))[""]
	}
	return s, nil
}

// firstExpired orders lots by item, and of an item as they should be used: the
// first to expire first, those without a date by when they came.
func firstExpired(a, b DeskLot) int {
	return cmp.Or(cmp.Compare(a.Item, b.Item), cmp.Compare(expiryOf(a.Lot), expiryOf(b.Lot)),
		cmp.Compare(a.Received, b.Received), cmp.Compare(a.Key, b.Key))
}

const neverExpires = costing.Date(1 << 30)

func expiryOf(l *costing.Lot) costing.Date {
	if l.Expires == nil {
		return neverExpires
	}
	return *l.Expires
}

func deskItem(it *costing.Item, day costing.Date) DeskItem {
	d := DeskItem{Item: it}
	for _, u := range costing.StockUnits {
		if q, err := it.InStockUnit(costing.Measure{Value: costing.Million, Unit: u}); err == nil && q > 0 {
			d.Units = append(d.Units, u)
		}
	}
	own := func(u costing.Unit) int {
		if u == it.StockUnit {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(d.Units, func(a, b costing.Unit) int { return own(a) - own(b) })
	if it.WasteMode == costing.Factored {
		d.Factor = it.WasteFactor.Or(day, 0)
	}
	return d
}

// inForce lists the payloads in force of a kind by key.
func (s *Snapshot) inForce(kind string) map[string]string {
	list := map[string]string{}
	for payload, c := range s.codes {
		if c.Kind == kind && c.RevokedMs == nil {
			list[c.Key] = payload
		}
	}
	return list
}

// DeskLotOf is one lot by its payload, also when nothing is left of it.
func (tx *Tx) DeskLotOf(ctx context.Context, payload string, now costing.Instant) (lot DeskLot, item DeskItem, err error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return lot, item, err
	}
	heard := snap.Resolve(payload, now)
	l := snap.Yard.Lots[heard.Key]
	if heard.Kind != clock.Lot || l == nil {
		return lot, item, notACode(heard, "lot")
	}
	remaining, err := tx.remaining(snap, l)
	if err != nil {
		return lot, item, err
	}
	return DeskLot{l, snap.inForce("lot")[l.Key], remaining}, deskItem(snap.Yard.Items[l.Item], costing.DateOf(now, snap.Yard.Zone)), nil
}

func notACode(heard Heard, what string) error {
	why := heard.Why
	if why == "" {
		why = "it is the code of something else"
	}
	return Errorf(NotFound, "%.40q is no %s: %s", heard.Payload, what, why)
}

// remaining is what the book says is left of a lot.
func (tx *Tx) remaining(snap *Snapshot, l *costing.Lot) (costing.Quantity, error) {
	var row stockBook
	found := tx.DB.Limit(1).Find(&row, "unit = ?", unitKey(stock.UnitOf(snap.Yard, l.Key)))
	if found.Error != nil || found.RowsAffected == 0 {
		return 0, found.Error
	}
	book, err := row.decode()
	if err != nil || book.Lots[l.Key] == nil {
		return 0, err
	}
	return book.Lots[l.Key].Closing(), nil
}

// Found is a job or lot that answers to words.
type Found struct {
	Kind    clock.Kind
	Key     string
	Payload string
	About   string
}

// DeskFind looks jobs and lots up by words: for hands without a scanner.
func (tx *Tx) DeskFind(ctx context.Context, words string, most int) ([]Found, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	y := snap.Yard
	fields := strings.Fields(strings.ToLower(words))
	var list []Found
	take := func(f Found, more ...string) {
		text := strings.ToLower(f.Key + " " + f.About + " " + strings.Join(more, " "))
		if len(list) < most && !slices.ContainsFunc(fields, func(w string) bool { return !strings.Contains(text, w) }) {
			list = append(list, f)
		}
	}
	jobs, lots := snap.inForce("job"), snap.inForce("lot")
	for _, key := range sorted(jobs) {
		if j := y.Jobs[key]; j != nil {
			take(Found{clock.Job, key, jobs[key], snap.aboutJob(j.Stage, j.Part)}, hullsOf(j))
		}
	}
	for _, key := range sorted(lots) {
		if l := y.Lots[key]; l != nil {
			take(Found{clock.Lot, key, lots[key], y.Items[l.Item].Name}, l.Item, l.SupplierBatch, l.Place)
		}
	}
	return list, nil
}

func hullsOf(j *costing.Job) string {
	names := make([]string, len(j.Shares))
	for i, s := range j.Shares {
		names[i] = s.Hull
	}
	return strings.Join(names, ", ")
}
