package models

import (
	"cmp"
	"context"
	"fmt"
	"slices"

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
		HardenerItem: r.Hardener, HardenerParts: int64(orZero(r.HardenerParts)), OpenLife: int(r.OpenLifeDays), Whole: r.Whole,
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
			Foreign:  costing.Foreign{Currency: r.Currency, Amount: int64(r.Amount)},
			Document: r.Document, Hull: r.Hull, Stage: r.Stage, Description: r.Description, Purpose: costing.Purpose(r.Purpose),
		}
		if b.Date, err = r.Date.Date(); err != nil {
			return err
		}
		b.Amount, err = priced(y, &b.Foreign, r.FX, b.Date)
		y.Bought = append(y.Bought, b)
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, statedFile, func(r *StatedRow) error {
		s, err := r.engine(y.Currency)
		y.Said = append(y.Said, s)
		return err
	}); err != nil {
		return err
	}
	slices.SortStableFunc(y.Said, func(a, b costing.StatedRest) int { return cmp.Compare(a.At, b.At) })
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
