package models

import (
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// CountAsk is what somebody counted of a lot, without having seen the book.
type CountAsk struct {
	Payload string // of the lot's label
	At      costing.Instant
	Found   costing.Measure
	Place   string // where it was found; empty: not said
	Who     string
	First   *costing.Measure // of a recount: what the first count was
}

// CountAnswer says what became of a count. It tells nothing of the book.
type CountAnswer struct {
	Lot   string
	Again bool // nothing was recorded: count again
}

// Count records what is there of a lot, and where it was found. A count that is
// further from the book than the policy recount_over is asked for twice: the
// second one is recorded, whatever it is, and the logbook names the first.
func (s *Store) Count(ctx context.Context, ask CountAsk, by Deed) (a CountAnswer, err error) {
	err = s.InTx(ctx, func(tx *Tx) (err error) {
		a, err = tx.count(ctx, &ask, by)
		return err
	})
	return a, err
}

func (tx *Tx) count(ctx context.Context, ask *CountAsk, by Deed) (CountAnswer, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return CountAnswer{}, err
	}
	heard := snap.Resolve(ask.Payload, ask.At)
	l := snap.Yard.Lots[heard.Key]
	if heard.Kind != "lot" || l == nil {
		return CountAnswer{}, notACode(heard, "lot")
	}
	it := snap.Yard.Items[l.Item]
	q, err := it.InStockUnit(ask.Found)
	if err != nil {
		return CountAnswer{}, Errorf(Invalid, "%v", err)
	}
	if q < 0 || q > maxQuantity {
		return CountAnswer{}, Errorf(Invalid, "%s %s cannot be what is there of lot %s: count again", q, it.StockUnit, l.Key)
	}
	if ask.First == nil {
		far, err := tx.farFromBook(ctx, snap, l, q, ask.At)
		if err != nil || far {
			return CountAnswer{l.Key, far}, err
		}
	}
	rows := []any{CountRow{Lot: l.Key, At: ask.At, Quantity: q}}
	if ask.Place != "" && ask.Place != l.Place {
		rows = append(rows, LotPlaceRow{Lot: l.Key, At: ask.At, Place: ask.Place, Who: ask.Who})
	}
	files, err := FilesOf(rows...)
	if err != nil {
		return CountAnswer{}, err
	}
	why := ""
	if ask.First != nil {
		why = fmt.Sprintf("counted twice: %s%s first", ask.First.Value, ask.First.Unit)
	}
	_, err = tx.Enter(ctx, files, LoadOptions{Now: by.At, Who: by.Who, Source: by.Source, Did: "counted", Subject: "lot " + l.Key, Why: why})
	return CountAnswer{Lot: l.Key}, err
}

// farFromBook reports whether a count differs from the book as of its instant by
// more than the policy allows without a second count.
func (tx *Tx) farFromBook(ctx context.Context, snap *Snapshot, l *costing.Lot, found costing.Quantity, at costing.Instant) (bool, error) {
	book, err := tx.bookAt(ctx, snap, l, at)
	if err != nil {
		return false, err
	}
	share := snap.Yard.Policy.RecountOver.Or(costing.DateOf(at, snap.Yard.Zone), costing.DefaultRecount)
	may, err := costing.MulRound(int64(max(book, -book)), int64(share), int64(costing.One))
	off := int64(found - book)
	return max(off, -off) > may, err
}

// bookAt is what should have been there of a lot at an instant.
func (tx *Tx) bookAt(ctx context.Context, snap *Snapshot, l *costing.Lot, at costing.Instant) (costing.Quantity, error) {
	f := &Figures{At: at, Yard: snap.Yard, derived: true}
	events, err := tx.unitEvents(ctx, f, stock.UnitOf(snap.Yard, l.Key))
	if err != nil {
		return 0, err
	}
	events = slices.DeleteFunc(events, func(e stock.Event) bool { return e.Lot != l.Key })
	c, book := stock.Costing{Yard: snap.Yard, AsOf: at}, &stock.Book{}
	for _, e := range events {
		if _, err := c.Apply(book, e); err != nil {
			return 0, err
		}
	}
	if book.Lots[l.Key] == nil {
		return 0, nil
	}
	return book.Lots[l.Key].Closing(), nil
}
