package models

import (
	"slices"

	"hulltally/costing"
	"hulltally/costing/recost"
)

// rereadItems reports a change of items by which a quantity that was read may
// mean something else, or a lot belong to another unit.
func rereadItems(ch *ChangeSet) bool {
	return slices.ContainsFunc(EditsOf[ItemRow](ch), func(e Edit[ItemRow]) bool {
		b, a := e.Before, e.After
		return b != nil && (b.StockUnit != a.StockUnit || b.CostMethod != a.CostMethod || b.Whole != a.Whole ||
			orZero(b.RollWidthM) != orZero(a.RollWidthM) || orZero(b.SheetM2) != orZero(a.SheetM2) || orZero(b.KgPerLitre) != orZero(a.KgPerLitre))
	})
}

// recostsItem reports a change of an item by which its lots may cost something else.
func recostsItem(b, a *ItemRow) bool {
	return b.WasteMode != a.WasteMode || orZero(b.WasteFactor) != orZero(a.WasteFactor) || orZero(b.KgPerUnit) != orZero(a.KgPerUnit) ||
		b.StandardPrice != a.StandardPrice && a.CostMethod == string(costing.ByAverage)
}

// rereadLots reports a lot that became one of another item, or was cut from
// another parent.
func rereadLots(ch *ChangeSet) bool {
	return slices.ContainsFunc(EditsOf[LotRow](ch), func(e Edit[LotRow]) bool {
		return e.Before != nil && (e.Before.Item != e.After.Item || e.Before.Parent != e.After.Parent)
	})
}

// touchedLots are the lots whose events or cost the changes may alter.
func (a *applying) touchedLots() map[string]bool {
	y := a.snap.Yard
	lots, deliveries := map[string]bool{}, map[string]bool{}
	for _, e := range EditsOf[LotRow](a.ch) {
		for _, r := range []*LotRow{e.Before, e.After} {
			if r == nil {
				continue
			}
			lots[r.Lot], deliveries[r.Delivery] = true, true
			if r.Parent != "" {
				lots[r.Parent] = true
			}
		}
	}
	for _, e := range EditsOf[InvoiceRow](a.ch) {
		lots[e.After.Lot] = true
	}
	for _, e := range EditsOf[CountRow](a.ch) {
		lots[e.After.Lot] = true
	}
	for _, e := range EditsOf[LandedRow](a.ch) {
		deliveries[e.After.Delivery] = true
	}
	items, currencies := map[string]bool{}, map[string]bool{}
	for _, e := range EditsOf[ItemRow](a.ch) {
		if e.Before != nil && recostsItem(e.Before, e.After) {
			items[e.After.Item] = true
		}
	}
	for _, e := range EditsOf[DeliveryRow](a.ch) { // its day says at which rate freight is taken
		deliveries[e.After.Delivery] = true
	}
	for _, e := range EditsOf[FXRow](a.ch) {
		currencies[e.After.Currency] = true
	}
	for key, d := range y.Deliveries {
		foreign := slices.ContainsFunc(d.Costs, func(c costing.LandedCost) bool { return currencies[c.Currency] })
		deliveries[key] = deliveries[key] || foreign
	}
	if len(items)+len(currencies)+len(deliveries) == 0 {
		return lots
	}
	for _, l := range y.Lots {
		if items[l.Item] && l.Delivery != "" {
			deliveries[l.Delivery] = true // by mass its freight is shared otherwise
		}
	}
	for key, l := range y.Lots {
		foreign := currencies[l.Foreign.Currency] ||
			slices.ContainsFunc(l.Invoices, func(inv costing.Invoice) bool { return currencies[inv.Foreign.Currency] })
		if foreign || items[l.Item] || l.Delivery != "" && deliveries[l.Delivery] {
			lots[key] = true
		}
	}
	return lots
}

// boughtUnit names the posting of a purchase line.
func boughtUnit(b *costing.Bought) string {
	const sep = "\x1f"
	return "b/" + b.Document + sep + b.Hull + sep + b.Stage + sep + b.Description
}

// bought posts the purchase lines that are new, changed, or worth something
// else at another rate.
func (a *applying) bought(d *derived) error {
	touched := map[string]bool{}
	for _, e := range EditsOf[BoughtRow](a.ch) {
		touched[boughtUnit(&costing.Bought{
			Document: e.After.Document, Hull: e.After.Hull, Stage: e.After.Stage, Description: e.After.Description,
		})] = true
	}
	currencies := map[string]bool{}
	for _, e := range EditsOf[FXRow](a.ch) {
		currencies[e.After.Currency] = true
	}
	if len(touched)+len(currencies) == 0 {
		return nil
	}
	for i := range a.snap.Yard.Bought {
		b := &a.snap.Yard.Bought[i]
		unit := boughtUnit(b)
		if !touched[unit] && !currencies[b.Foreign.Currency] {
			continue
		}
		was, err := a.tx.storedPostings("unit = ?", unit)
		if err != nil {
			return err
		}
		if err := d.replace(unit, was[unit], []costing.Posting{recost.BoughtPosting(b)}); err != nil {
			return err
		}
	}
	return nil
}
