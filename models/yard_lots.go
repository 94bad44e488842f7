package models

import (
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

func yardRates(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return each(ctx, tx, fxFile, func(r *FXRow) error {
		rates := y.Rates[r.Currency]
		err := addDated(&rates, r.From, r.Rate)
		y.Rates[r.Currency] = rates
		return err
	})
}

// priced takes a foreign amount into the books: at the row's own rate, or else
// at the spot rate of the day of the transaction (IAS 21 paragraph 21).
func priced(y *costing.Yard, f *costing.Foreign, own *costing.Price, day costing.Date) (costing.Money, error) {
	switch {
	case own != nil:
		f.Rate = *own
	case f.Currency == "" || f.Currency == y.Currency.Code:
		f.Rate = million
	default:
		r, known := y.Rates[f.Currency].On(day)
		if !known {
			return 0, fmt.Errorf("there is no rate of %s for %s", f.Currency, day)
		}
		f.Rate = r
	}
	return y.Currency.Convert(f.Amount, f.Rate)
}

// lotsOnly says which lots, deliveries and count sheets to read; nil is all.
type lotsOnly struct{ lots, deliveries, sheets only }

func yardLots(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return yardSomeLots(ctx, tx, y, lotsOnly{})
}

// yardSomeLots reads whole families of lots, and whole deliveries.
func yardSomeLots(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	for _, part := range []func(context.Context, *Tx, *costing.Yard, lotsOnly) error{
		yardDeliveries, yardLotRows, yardInvoices, yardCounts, yardPlaces, yardHolds, yardLanded, yardCountSheets,
	} {
		if err := part(ctx, tx, y, which); err != nil {
			return err
		}
	}
	return nil
}

func yardDeliveries(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, deliveriesFile, which.deliveries, func(r *DeliveryRow) error {
		y.Deliveries[r.Delivery] = &costing.Delivery{Key: r.Delivery, Received: r.Received, Supplier: r.Supplier, Note: r.Note}
		return nil
	})
}

func yardLotRows(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	var offcuts []stock.Unit
	if err := eachOf(ctx, tx, lotsFile, which.lots, func(r *LotRow) error {
		if r.Parent != "" {
			offcuts = append(offcuts, stock.Unit{Item: r.Item, Lot: r.Lot})
		}
		return r.into(y)
	}); err != nil {
		return err
	}
	stock.InOrder(y, offcuts)
	for _, u := range offcuts {
		if err := cutFrom(y, y.Lots[u.Lot]); err != nil {
			return fmt.Errorf("lots %s: %w", u.Lot, err)
		}
	}
	return nil
}

// into puts the row's lot into a yard, quantity in the item's stock unit, cost
// in the yard's currency.
func (r *LotRow) into(y *costing.Yard) error {
	it := y.Items[r.Item]
	if it == nil {
		return fmt.Errorf("there is no item %s", r.Item)
	}
	l := &costing.Lot{
		Key: r.Lot, Item: r.Item, Received: r.Received, SupplierBatch: r.SupplierBatch, AwaitsInvoice: r.AwaitsInvoice,
		Delivery: r.Delivery, Parent: r.Parent, FromJob: r.FromJob,
		Foreign: costing.Foreign{Currency: r.Currency, Amount: int64(r.Price)},
	}
	if d := y.Deliveries[r.Delivery]; d != nil {
		l.Supplier = d.Supplier
		d.Lots = append(d.Lots, r.Lot) // lots come by key
	}
	var err error
	if l.Quantity, err = it.InStockUnit(costing.Measure{Value: r.Quantity, Unit: costing.Unit(r.Unit)}); err != nil {
		return err
	}
	if l.Quantity <= 0 {
		return fmt.Errorf("its quantity comes to nothing in %s", it.StockUnit)
	}
	if l.Landed, err = y.Currency.FromDecimal(int64(orZero(r.Landed))); err != nil {
		return err
	}
	price, err := priced(y, &l.Foreign, r.FX, costing.DateOf(r.Received, y.Zone))
	if err != nil {
		return err
	}
	l.Cost = price + l.Landed
	l.Expires, err = r.Expires.optional()
	y.Lots[r.Lot] = l
	return err
}

// cutFrom ties an offcut to its parent, whose batch and last day it has where
// its own row says none.
func cutFrom(y *costing.Yard, l *costing.Lot) error {
	parent := y.Lots[l.Parent]
	if parent == nil {
		return fmt.Errorf("there is no lot %s", l.Parent)
	}
	at, _ := slices.BinarySearch(parent.Offcuts, l.Key)
	parent.Offcuts = slices.Insert(parent.Offcuts, at, l.Key)
	l.Supplier = parent.Supplier
	if l.SupplierBatch == "" {
		l.SupplierBatch = parent.SupplierBatch
	}
	if l.Expires == nil {
		l.Expires = parent.Expires
	}
	return nil
}

// lotOf finds the lot that a row names.
func lotOf(y *costing.Yard, key string) (*costing.Lot, error) {
	if l := y.Lots[key]; l != nil {
		return l, nil
	}
	return nil, fmt.Errorf("there is no lot %s", key)
}

// yardInvoices: an invoice without a rate is in the books at the rate of the
// day the goods came in, as they are; what the rate did since is an exchange
// difference and no cost of the goods (IAS 21 paragraphs 21 and 28).
func yardInvoices(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, invoicesFile, which.lots, func(r *InvoiceRow) error {
		l, err := lotOf(y, r.Lot)
		if err != nil {
			return err
		}
		inv := costing.Invoice{At: r.At, Foreign: costing.Foreign{Currency: r.Currency, Amount: int64(r.Price)}}
		own := r.FX
		if own == nil && r.Currency != "" && r.Currency == l.Foreign.Currency {
			own = &l.Foreign.Rate
		}
		if inv.Price, err = priced(y, &inv.Foreign, own, costing.DateOf(l.Received, y.Zone)); err != nil {
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
	})
}

func yardCounts(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, countsFile, which.lots, func(r *CountRow) error {
		l, err := lotOf(y, r.Lot)
		if err == nil {
			l.Counts = append(l.Counts, costing.Count{At: r.At, Quantity: r.Quantity, Who: r.Who, Sheet: r.Sheet})
		}
		return err
	})
}

func yardPlaces(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, lotPlacesFile, which.lots, func(r *LotPlaceRow) error {
		l, err := lotOf(y, r.Lot)
		if err == nil {
			l.Place = r.Place // in order of instants: the last one holds
		}
		return err
	})
}

func yardHolds(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, holdsFile, which.lots, func(r *HoldRow) error {
		l, err := lotOf(y, r.Lot)
		if err == nil {
			l.Holds = append(l.Holds, costing.Hold{At: r.At, On: r.Kind == PutOnHold, Who: r.Who, Why: r.Why})
		}
		return err
	})
}

// yardLanded shares landed costs over the lots of their delivery by the
// largest remainder.
func yardLanded(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	return eachOf(ctx, tx, landedFile, which.deliveries, func(r *LandedRow) (err error) {
		d := y.Deliveries[r.Delivery]
		if d == nil {
			return fmt.Errorf("there is no delivery %s", r.Delivery)
		}
		c := costing.LandedCost{
			At: r.At, What: r.What, ByMass: r.ShareBy == ShareByMass,
			Foreign: costing.Foreign{Currency: r.Currency, Amount: int64(r.Amount)},
		}
		if c.Cost, err = priced(y, &c.Foreign, r.FX, costing.DateOf(d.Received, y.Zone)); err != nil {
			return err
		}
		d.Costs = append(d.Costs, c)
		return y.Land(d, &c)
	})
}

func yardCountSheets(ctx context.Context, tx *Tx, y *costing.Yard, which lotsOnly) error {
	if err := eachOf(ctx, tx, countSheetsFile, which.sheets, func(r *CountSheetRow) error {
		y.Sheets[r.Sheet] = &costing.CountSheet{Key: r.Sheet, Place: r.Place, Opened: r.Opened, Who: r.Who}
		return nil
	}); err != nil {
		return err
	}
	return eachOf(ctx, tx, talliesFile, which.sheets, func(r *TallyRow) error {
		sheet := y.Sheets[r.Sheet]
		if sheet == nil {
			return fmt.Errorf("there is no count sheet %s", r.Sheet)
		}
		sheet.Tallies = append(sheet.Tallies, costing.Counted{Lot: r.Lot, Round: r.Round, At: r.At, Quantity: r.Quantity, Who: r.Who})
		return nil
	})
}

func yardPayments(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return each(ctx, tx, paymentsFile, func(r *PaymentRow) (err error) {
		p := costing.Payment{
			Key: r.Payment, Lot: r.Lot, Document: r.Document, Foreign: costing.Foreign{Currency: r.Currency, Amount: int64(r.Amount)},
		}
		if p.Date, err = r.Date.Date(); err != nil {
			return err
		}
		_, err = priced(y, &p.Foreign, r.FX, p.Date)
		y.Payments = append(y.Payments, p)
		return err
	})
}
