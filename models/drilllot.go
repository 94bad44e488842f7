package models

import (
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// Movement is one thing that happened to a lot, what it cost, and what the lot
// should hold after it.
type Movement struct {
	stock.Charge
	Balance costing.Quantity
}

// LotStory is a lot with its movements in order.
type LotStory struct {
	Lot       *costing.Lot
	Item      *costing.Item
	Cost      costing.Money // of the lot, as known at the instant of the figures
	Pooled    bool          // its item is costed by the average of all its lots
	Movements []Movement
	Worth     costing.Money // what is left is worth; of a pool, what all its lots hold
}

// LotStory folds a lot's movements as of the figures. The movements of a
// pooled item are folded with those of its other lots, which set its cost.
func (tx *Tx) LotStory(ctx context.Context, f *Figures, key string) (*LotStory, error) {
	lot := f.Yard.Lots[key]
	if lot == nil {
		return nil, Errorf(NotFound, "there is no lot %q", key)
	}
	u := stock.UnitOf(f.Yard, key)
	events, err := tx.unitEvents(ctx, f, u)
	if err != nil {
		return nil, err
	}
	c := f.costing()
	s := &LotStory{Lot: lot, Item: f.Yard.Items[lot.Item], Pooled: u.Lot == "", Cost: c.Cost(lot)}
	book := &stock.Book{}
	for _, e := range events {
		ch, err := c.Apply(book, e)
		if err != nil {
			return nil, err
		}
		if e.Lot == key {
			s.Movements = append(s.Movements, Movement{ch, book.Lots[key].Closing()})
		}
	}
	s.Worth = c.Worth(u, book)
	return s, nil
}

// asOfStock is which invoices count: where nothing recorded is later, all do,
// as they did for the kept books.
func (f *Figures) asOfStock() costing.Instant {
	if f.derived {
		return f.At
	}
	return endOfTime
}

// unitEvents are all that happened to a stock unit by the instant of the
// figures, sorted.
func (tx *Tx) unitEvents(ctx context.Context, f *Figures, u stock.Unit) ([]stock.Event, error) {
	var lots []string
	var events []stock.Event
	for key, l := range f.Yard.Lots {
		if stock.UnitOf(f.Yard, key) != u {
			continue
		}
		lots = append(lots, key)
		events = append(events, stock.Recorded(f.Yard, l, f.asOfStock())...)
	}
	for part := range slices.Chunk(lots, 1000) {
		var rows []entryRecord
		err := tx.DB.WithContext(ctx).Find(&rows, "lot IN ? AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)",
			part, f.asOfStock(), f.asOfStock()).Error
		if err != nil {
			return nil, err
		}
		for i := range rows {
			rows[i].VoidedBy = "" // what was undone later still stood then
			if ev, ok := stock.FromEntry(rows[i].entry()); ok {
				events = append(events, ev)
			}
		}
	}
	slices.SortFunc(events, stock.Compare)
	return events, nil
}
