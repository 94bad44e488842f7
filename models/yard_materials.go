package models

import (
	"context"
	"fmt"

	"hulltally/costing"
)

func yardItems(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, itemsFile, func(r *ItemRow) error {
		y.Items[r.Item] = r.engine()
		return nil
	}); err != nil {
		return err
	}
	return each(ctx, tx, wasteFactorsFile, func(r *WasteFactorRow) error {
		it := y.Items[r.Item]
		if it == nil {
			return fmt.Errorf("there is no item %s", r.Item)
		}
		return addDated(&it.WasteFactor, r.From, r.Factor)
	})
}

// engine is the item in the engine's form, without dated waste factors.
func (r *ItemRow) engine() *costing.Item {
	it := &costing.Item{
		Key: r.Item, Name: r.Name, StockUnit: costing.Unit(r.StockUnit),
		CostMethod: costing.CostMethod(r.CostMethod), StandardPrice: r.StandardPrice,
		WasteMode: costing.WasteMode(r.WasteMode), Role: costing.Role(r.Role),
		KgPerUnit: int64(orZero(r.KgPerUnit)), RollWidth: int64(orZero(r.RollWidthM)),
		SheetArea: int64(orZero(r.SheetM2)), Density: int64(orZero(r.KgPerLitre)),
		HardenerItem: r.Hardener, HardenerParts: int64(orZero(r.HardenerParts)),
	}
	if r.WasteFactor != nil {
		it.WasteFactor = it.WasteFactor.Add(costing.FromStart, *r.WasteFactor)
	}
	switch {
	case r.AboardShare != nil:
		it.AboardShare = *r.AboardShare
	case r.Role != "consumable" && r.Role != "other":
		it.AboardShare = costing.One // fabric, cured resin and core stay aboard, bagging film does not
	}
	return it
}

func yardLots(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, lotsFile, func(r *LotRow) error {
		it := y.Items[r.Item]
		if it == nil {
			return fmt.Errorf("there is no item %s", r.Item)
		}
		l, err := r.engine(it, y.Currency)
		y.Lots[r.Lot] = l
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, invoicesFile, func(r *InvoiceRow) (err error) {
		l := y.Lots[r.Lot]
		if l == nil {
			return fmt.Errorf("there is no lot %s", r.Lot)
		}
		inv := costing.Invoice{At: r.At}
		if inv.Price, err = y.Currency.Convert(int64(r.Price), rate(r.FX)); err != nil {
			return err
		}
		if r.Landed != nil {
			landed, err := y.Currency.FromDecimal(int64(*r.Landed))
			if err != nil {
				return err
			}
			inv.Landed = &landed
		}
		l.Invoices = append(l.Invoices, inv)
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, countsFile, func(r *CountRow) error {
		l := y.Lots[r.Lot]
		if l == nil {
			return fmt.Errorf("there is no lot %s", r.Lot)
		}
		l.Counts = append(l.Counts, costing.Count{At: r.At, Quantity: r.Quantity})
		return nil
	}); err != nil {
		return err
	}
	return each(ctx, tx, lotPlacesFile, func(r *LotPlaceRow) error {
		l := y.Lots[r.Lot]
		if l == nil {
			return fmt.Errorf("there is no lot %s", r.Lot)
		}
		l.Place = r.Place // in order of instants: the last one holds
		return nil
	})
}

// engine is the lot in the engine's form: quantity in the item's stock unit,
// cost in the yard's currency.
func (r *LotRow) engine(it *costing.Item, base costing.Currency) (*costing.Lot, error) {
	l := &costing.Lot{
		Key: r.Lot, Item: r.Item, Received: r.Received, SupplierBatch: r.SupplierBatch, AwaitsInvoice: r.AwaitsInvoice,
	}
	var err error
	if l.Quantity, err = it.InStockUnit(costing.Measure{Value: r.Quantity, Unit: costing.Unit(r.Unit)}); err != nil {
		return nil, err
	}
	if l.Quantity <= 0 {
		return nil, fmt.Errorf("its quantity comes to nothing in %s", it.StockUnit)
	}
	if l.Landed, err = base.FromDecimal(int64(orZero(r.Landed))); err != nil {
		return nil, err
	}
	price, err := base.Convert(int64(r.Price), rate(r.FX))
	if err != nil {
		return nil, err
	}
	l.Cost = price + l.Landed
	l.Expires, err = r.Expires.optional()
	return l, err
}

// rate is base currency per unit of another; none is the base currency itself.
func rate(fx *costing.Price) costing.Price {
	if fx == nil {
		return million
	}
	return *fx
}

func yardDocuments(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, boughtFile, func(r *BoughtRow) (err error) {
		b := costing.Bought{
			Document: r.Document, Hull: r.Hull, Stage: r.Stage, Description: r.Description, Purpose: costing.Purpose(r.Purpose),
		}
		if b.Date, err = r.Date.Date(); err != nil {
			return err
		}
		b.Amount, err = y.Currency.Convert(int64(r.Amount), rate(r.FX))
		y.Bought = append(y.Bought, b)
		return err
	}); err != nil {
		return err
	}
	return each(ctx, tx, billingFile, func(r *BillingRow) (err error) {
		b := costing.Bill{Hull: r.Hull, Description: r.Description}
		if b.Date, err = r.Date.Date(); err != nil {
			return err
		}
		b.Amount, err = y.Currency.FromDecimal(int64(r.Amount))
		y.Billing = append(y.Billing, b)
		return err
	})
}
