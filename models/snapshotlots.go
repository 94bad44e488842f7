package models

import (
	"context"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// stepLots reads the lots anew that changed, with all that they share a
// delivery or a parent with; all of them where their items or rates changed.
func (s *Snapshot) stepLots(ctx context.Context, tx *Tx, last *Snapshot, ch yardChanges) error {
	y := s.Yard
	if ch.any(fxFile) || conversionsMoved(last.Yard, y) {
		y.Lots, y.Deliveries = map[string]*costing.Lot{}, map[string]*costing.Delivery{}
		y.Sheets = map[string]*costing.CountSheet{}
		if err := yardLots(ctx, tx, y); err != nil {
			return err
		}
		s.lots = lotsByUnit(y)
		return nil
	}
	if !ch.any(lotFiles...) {
		return nil
	}
	which, err := tx.lotsToRead(ctx, last.Yard, ch)
	if err != nil {
		return err
	}
	y.Lots = without(last.Yard.Lots, which.lots)
	y.Deliveries = without(last.Yard.Deliveries, which.deliveries)
	y.Sheets = without(last.Yard.Sheets, which.sheets)
	if err := yardSomeLots(ctx, tx, y, which); err != nil {
		return err
	}
	if which.lots == nil {
		s.lots = lotsByUnit(y)
		return nil
	}
	s.lots = maps.Clone(last.lots)
	for _, key := range which.lots {
		s.move(last, key)
	}
	return nil
}

// without is a copy of a map that lacks the keys to be read anew.
func without[V any](m map[string]V, keys only) map[string]V {
	if keys == nil {
		return map[string]V{}
	}
	rest := maps.Clone(m)
	for _, key := range keys {
		delete(rest, key)
	}
	return rest
}

// move puts a lot under its unit, and takes it from the one it was of.
func (s *Snapshot) move(last *Snapshot, key string) {
	was, is := stock.UnitOf(last.Yard, key), stock.UnitOf(s.Yard, key)
	if was == is {
		return
	}
	if last.Yard.Lots[key] != nil {
		s.lots[was] = slices.DeleteFunc(slices.Clone(s.lots[was]), func(k string) bool { return k == key })
		if len(s.lots[was]) == 0 {
			delete(s.lots, was)
		}
	}
	if s.Yard.Lots[key] != nil {
		s.lots[is] = append(slices.Clone(s.lots[is]), key)
	}
}

// conversionsMoved reports items by whose data a lot's quantity, unit or share
// of a landed cost is another.
func conversionsMoved(was, is *costing.Yard) bool {
	for key, b := range was.Items {
		a := is.Items[key]
		if a == b {
			continue
		}
		if a == nil || a.StockUnit != b.StockUnit || a.CostMethod != b.CostMethod || a.RollWidth != b.RollWidth ||
			a.SheetArea != b.SheetArea || a.Density != b.Density || a.KgPerUnit != b.KgPerUnit {
			return true
		}
	}
	return false
}

// lotsToRead closes the changed lots and deliveries under what depends on
// them: a delivery's lots share its freight, an offcut has its parent's batch.
func (tx *Tx) lotsToRead(ctx context.Context, y *costing.Yard, ch yardChanges) (lotsOnly, error) {
	which := lotsOnly{sheets: sum(ch.of(countSheetsFile), ch.of(talliesFile))}
	for _, f := range []yardFile{deliveriesFile, lotsFile, invoicesFile, countsFile, lotPlacesFile, holdsFile, landedFile} {
		if ch.any(f) && ch.of(f) == nil {
			return lotsOnly{sheets: which.sheets}, nil // all lots
		}
	}
	c := closing{tx: tx, ctx: ctx, y: y, lots: map[string]bool{}, deliveries: map[string]bool{}}
	for _, f := range []yardFile{lotsFile, invoicesFile, countsFile, lotPlacesFile, holdsFile} {
		for _, key := range ch.of(f) {
			c.lot(key)
		}
	}
	for _, f := range []yardFile{deliveriesFile, landedFile} {
		for _, key := range ch.of(f) {
			c.delivery(key)
		}
	}
	if err := c.run(); err != nil {
		return which, err
	}
	which.lots, which.deliveries = slices.Collect(maps.Keys(c.lots)), slices.Collect(maps.Keys(c.deliveries))
	if which.lots == nil {
		which.lots = only{}
	}
	if which.deliveries == nil {
		which.deliveries = only{}
	}
	return which, nil
}

func sum(a, b only) only {
	if a == nil || b == nil {
		return nil
	}
	return slices.Concat(only{}, a, b)
}

// closing gathers families of lots and deliveries, as they were and as they are.
type closing struct {
	tx               *Tx
	ctx              context.Context
	y                *costing.Yard
	lots, deliveries map[string]bool
	newLots          []string
	newDeliveries    []string
}

func (c *closing) lot(key string) {
	if key != "" && !c.lots[key] {
		c.lots[key] = true
		c.newLots = append(c.newLots, key)
	}
}

func (c *closing) delivery(key string) {
	if key != "" && !c.deliveries[key] {
		c.deliveries[key] = true
		c.newDeliveries = append(c.newDeliveries, key)
	}
}

func (c *closing) run() error {
	for len(c.newLots)+len(c.newDeliveries) > 0 {
		lots, deliveries := c.newLots, c.newDeliveries
		c.newLots, c.newDeliveries = nil, nil
		for _, key := range lots {
			if l := c.y.Lots[key]; l != nil {
				c.lot(l.Parent)
				c.delivery(l.Delivery)
				for _, piece := range l.Offcuts {
					c.lot(piece)
				}
			}
		}
		for _, key := range deliveries {
			if d := c.y.Deliveries[key]; d != nil {
				for _, lot := range d.Lots {
					c.lot(lot)
				}
			}
		}
		for _, look := range []struct {
			column string
			keys   []string
		}{{"lot", lots}, {"parent", lots}, {"delivery", deliveries}} {
			for part := range slices.Chunk(look.keys, 500) {
				rows, err := lotsFile.where(c.ctx, c.tx, look.column+" IN ?", part)
				if err != nil {
					return err
				}
				for i := range rows {
					c.lot(rows[i].Lot)
					c.lot(rows[i].Parent)
					c.delivery(rows[i].Delivery)
				}
			}
		}
	}
	return nil
}
