package conformance

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/stock"
	"hulltally/models"
)

// testOffcuts: offcuts, freight, spot rates and invoices give the same books
// in whatever order they come to be known, and an offcut has its share of all.
func testOffcuts(t *testing.T, open func(t testing.TB) *models.Store) {
	at := mustInstant
	million := costing.Price(costing.Million)
	lots := []any{
		models.DeliveryRow{Delivery: "D1", Received: at("2026-03-01T08:00:00Z"), Supplier: "Torvane"},
		models.FXRow{Currency: "CHF", From: "2026-02-01", Rate: 1_050_000},
		models.LotRow{Lot: "P", Item: "BIAX", Received: at("2026-03-01T08:00:00Z"), Quantity: 100 * costing.Million, Price: 1000 * million, Currency: "CHF", Delivery: "D1"},
		models.LotRow{Lot: "Q", Item: "RES", Received: at("2026-03-01T08:00:00Z"), Quantity: 40 * costing.Million, Price: 200 * million, Delivery: "D1"},
	}
	facts := []any{
		models.LotRow{Lot: "A", Item: "BIAX", Received: at("2026-03-03T08:00:00Z"), Quantity: 25 * costing.Million, Parent: "P"},
		models.LotRow{Lot: "AA", Item: "BIAX", Received: at("2026-03-04T08:00:00Z"), Quantity: 10 * costing.Million, Parent: "A"},
		models.LandedRow{Delivery: "D1", At: at("2026-03-05T08:00:00Z"), What: "freight", Amount: 100 * million, ShareBy: "mass"},
		models.InvoiceRow{Lot: "P", At: at("2026-03-06T08:00:00Z"), Price: 1100 * million, Currency: "CHF"},
		models.FXRow{Currency: "CHF", From: "2026-03-01", Rate: 1_100_000},
		models.FXRow{Currency: "CHF", From: "2026-03-05", Rate: 2_000_000},
		models.CountRow{Lot: "AA", At: at("2026-03-07T08:00:00Z"), Quantity: 4 * costing.Million},
		models.CountRow{Lot: "P", At: at("2026-03-02T08:00:00Z"), Quantity: 90 * costing.Million},
		models.HoldRow{Lot: "A", At: at("2026-03-07T08:00:00Z"), Kind: "hold", Who: "Quill", Why: "wet carton"},
	}
	play := func(order []any) *models.Store {
		s := open(t)
		load(t, s, Tiny())
		for _, rows := range append([][]any{lots}, slices.Collect(slices.Chunk(order, 1))...) {
			files, err := models.FilesOf(rows...)
			require.NoError(t, err)
			_, err = s.Enter(t.Context(), files, models.LoadOptions{Now: Now, Who: "test"})
			require.NoError(t, err)
		}
		checked(t, "offcuts", s)
		return s
	}
	one := play(facts)
	late := slices.Clone(facts[2:6])
	slices.Reverse(late)
	late = append(late, facts[7], facts[0], facts[1], facts[8], facts[6]) // the cuts are heard of late
	two := play(late)
	sameDerived(t, "offcuts heard of last", derived(t, two), derived(t, one))

	// P: 1100 × 1.10, the rate of the day it came, not of the invoice; freight by mass: 60 kg of 100.
	require.NoError(t, one.Read(t.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(t.Context(), Now)
		require.NoError(t, err)
		worth := func(lot string) costing.Money { return f.Worth(stock.Unit{Item: "BIAX", Lot: lot}) }
		assert.Equal(t, []costing.Money{1270_00 * 65 / 100, 1270_00 * 15 / 100, 1270_00 * 4 / 100}, []costing.Money{worth("P"), worth("A"), worth("AA")})
		return nil
	}))
	for row, reason := range map[any]string{
		models.LotRow{Lot: "P", Item: "BIAX", Received: at("2026-03-05T08:00:00Z"), Quantity: costing.Million, Parent: "AA"}:          "leads back",
		models.LotRow{Lot: "X", Item: "RES", Received: at("2026-03-05T08:00:00Z"), Quantity: costing.Million, Parent: "P"}:            "is of item BIAX",
		models.LotRow{Lot: "X", Item: "BIAX", Received: at("2026-02-05T08:00:00Z"), Quantity: costing.Million, Parent: "P"}:           "is before its parent",
		models.LotRow{Lot: "X", Item: "BIAX", Received: at("2026-03-05T08:00:00Z"), Quantity: costing.Million, Parent: "P", Price: 1}: "must be 0",
		models.InvoiceRow{Lot: "A", At: Now, Price: million}:                                                                          "is an offcut",
		models.LandedRow{Delivery: "NONE", At: Now, What: "x", ShareBy: "value"}:                                                      "there is no delivery NONE",
		models.PaymentRow{Payment: "X", Lot: "P", Date: "2026-03-09", Amount: 1}:                                                      "bought in CHF",
		models.HoldRow{Lot: "NONE", At: Now, Kind: "hold", Who: "a", Why: "b"}:                                                        "there is no lot NONE",
	} {
		files, err := models.FilesOf(row)
		require.NoError(t, err)
		_, err = one.Enter(t.Context(), files, models.LoadOptions{Now: Now, Who: "test"})
		assert.ErrorContains(t, err, reason)
	}
}
