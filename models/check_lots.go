package models

import (
	"maps"
	"slices"

	"hulltally/costing"
)

// checkLots: every lot's unit must convert to its item's stock unit, those
// stored before too when their item changes.
func (l *loading) checkLots() error {
	lots, items := sheetFor(l, lotsFile), sheetFor(l, itemsFile)
	for _, row := range lots.rows {
		if row.bad {
			continue
		}
		it, err := items.find(l, row.row.Item)
		if err != nil {
			return err
		}
		if it == nil {
			continue // said where the item stands
		}
		if reason := unfit(&row.row, it); reason != "" {
			lots.refuse(l, row, "unit", "%s", reason)
		}
	}
	return l.checkStoredLots(lots, items)
}

func (l *loading) checkStoredLots(lots *sheetOf[LotRow], items *sheetOf[ItemRow]) error {
	if len(items.given) == 0 {
		return nil
	}
	before, err := items.nearGiven(l)
	if err != nil || len(before) == 0 {
		return err
	}
	for part := range slices.Chunk(slices.Sorted(maps.Keys(items.given)), 500) {
		stored, err := lots.where(l.ctx, l.tx, "item IN ?", part)
		if err != nil {
			return err
		}
		for i := range stored {
			lot := &stored[i]
			row := items.given[lot.Item]
			if row == nil || row.bad || lots.given[lot.Lot] != nil {
				continue
			}
			if reason := unfit(lot, &row.row); reason != "" {
				items.refuse(l, row, "stock_unit", "lot %s of it is in %s already: %s", lot.Lot, unitOf(lot, before[lot.Item]), reason)
			}
		}
	}
	return nil
}

// unitOf is the unit a lot's quantity is in.
func unitOf(lot *LotRow, it *ItemRow) string {
	if lot.Unit != "" || it == nil {
		return lot.Unit
	}
	return it.StockUnit
}

// unfit says why a lot's quantity has no form in the item's stock unit.
func unfit(lot *LotRow, it *ItemRow) string {
	q, err := it.engine().InStockUnit(costing.Measure{Value: lot.Quantity, Unit: costing.Unit(lot.Unit)})
	switch {
	case err != nil:
		return err.Error() + ": give the item's data for it, or the quantity in " + it.StockUnit
	case q <= 0:
		return "the quantity comes to nothing in " + it.StockUnit + ": correct it"
	case q > maxQuantity:
		return "the quantity comes to too much in " + it.StockUnit + ": correct it"
	}
	return ""
}
