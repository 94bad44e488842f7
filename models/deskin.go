package models

import (
	"context"
	"fmt"
	"time"

	"hulltally/costing"
)

// GoodsIn is one lot as it comes in at the hatch. Its price is no business of
// the stores: the item's standard price stands in until the invoice.
type GoodsIn struct {
	Item     string
	Received costing.Instant // made by the sender: the same again is the same lot
	Quantity costing.Measure
	Expires  Day
	Batch    string
	GTIN     string // of the supplier's label, to know the item by next time
	Place    string
	Who      string
}

// TakenIn is the lot that goods-in made.
type TakenIn struct {
	Lot, Payload string
	Known        bool // it had been made before
}

// TakeIn makes a lot of what came in, with a label to print.
func (s *Store) TakeIn(ctx context.Context, g GoodsIn, by Deed) (t TakenIn, err error) {
	err = s.InTx(ctx, func(tx *Tx) (err error) {
		t, err = tx.takeIn(ctx, &g, by)
		return err
	})
	return t, err
}

func (tx *Tx) takeIn(ctx context.Context, g *GoodsIn, by Deed) (TakenIn, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return TakenIn{}, err
	}
	y := snap.Yard
	it := y.Items[g.Item]
	if it == nil {
		return TakenIn{}, Errorf(NotFound, "there is no item %.40q: choose one of the list", g.Item)
	}
	for key, l := range y.Lots {
		if l.Item == g.Item && l.Received == g.Received {
			return TakenIn{key, snap.inForce("lot")[key], true}, nil
		}
	}
	price, err := standardPrice(y, it, g.Quantity)
	if err != nil {
		return TakenIn{}, err
	}
	lot := LotRow{
		Lot: freeLot(y, it.Key, g.Received), Item: it.Key, Received: g.Received, Quantity: g.Quantity.Value, Unit: string(g.Quantity.Unit),
		Price: price, Expires: g.Expires, SupplierBatch: g.Batch, AwaitsInvoice: true,
	}
	rows := []any{lot}
	if g.Place != "" {
		rows = append(rows, LotPlaceRow{Lot: lot.Lot, At: g.Received, Place: g.Place, Who: g.Who})
	}
	if g.GTIN != "" {
		rows = append(rows, TradeNumberRow{GTIN: g.GTIN, Item: it.Key})
	}
	files, err := FilesOf(rows...)
	if err != nil {
		return TakenIn{}, err
	}
	opts := LoadOptions{Now: by.At, Who: by.Who, Source: by.Source, Did: "took in", Subject: "lot " + lot.Lot, Why: "at the stores hatch"}
	if _, err := tx.Enter(ctx, files, opts); err != nil {
		return TakenIn{}, err
	}
	var code CodeRow
	err = tx.DB.WithContext(ctx).Take(&code, "kind = 'lot' AND key = ? AND revoked_ms IS NULL", lot.Lot).Error
	return TakenIn{Lot: lot.Lot, Payload: code.Payload}, err
}

// standardPrice is what a quantity costs at the item's standard price, in whole
// minor units.
func standardPrice(y *costing.Yard, it *costing.Item, m costing.Measure) (costing.Price, error) {
	q, err := it.InStockUnit(m)
	if err != nil {
		return 0, Errorf(Invalid, "%v", err)
	}
	if q <= 0 || q > maxQuantity {
		return 0, Errorf(Invalid, "%s %s is no quantity that can come in: enter it again", q, it.StockUnit)
	}
	minor, err := costing.RoundRat(y.Currency.Extend(q, it.StandardPrice))
	if err != nil {
		return 0, Errorf(Invalid, "%s %s at the standard price of %s is more than the books can hold", q, it.StockUnit, it.Key)
	}
	price, err := costing.MulRound(minor, costing.Million, y.Currency.Scale())
	return costing.Price(price), err
}

// freeLot is a key for a new lot: its item, the day it came and a number.
func freeLot(y *costing.Yard, item string, received costing.Instant) string {
	day := costing.DateOf(received, y.Zone).String()
	if d, err := time.Parse(time.DateOnly, day); err == nil {
		day = d.Format("060102")
	}
	for n := 1; ; n++ {
		if key := fmt.Sprintf("%s-%s-%d", item, day, n); y.Lots[key] == nil {
			return key
		}
	}
}

// ItemOfGTIN is the item that a trade number was last taken in as, or empty.
func (tx *Tx) ItemOfGTIN(ctx context.Context, gtin string) (string, error) {
	var row TradeNumberRow
	err := tx.DB.WithContext(ctx).Limit(1).Find(&row, "gtin = ?", gtin).Error
	return row.Item, err
}

// GiveReason records why something was done with a lot at a station.
func (s *Store) GiveReason(ctx context.Context, row StockReasonRow, by Deed) error {
	files, err := FilesOf(row)
	if err != nil {
		return err
	}
	_, err = s.Enter(ctx, files, LoadOptions{
		Now: by.At, Who: by.Who, Source: by.Source, Did: "gave a reason", Subject: "lot " + row.Lot, Why: row.Reason,
	})
	return err
}

// PutLot records where a lot was put.
func (s *Store) PutLot(ctx context.Context, row LotPlaceRow, by Deed) error {
	files, err := FilesOf(row)
	if err != nil {
		return err
	}
	_, err = s.Enter(ctx, files, LoadOptions{Now: by.At, Who: by.Who, Source: by.Source, Did: "put a lot", Subject: "lot " + row.Lot})
	return err
}
