package conformance

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// followed is what a store goes by: the yard, the corrections and what the
// codes mean.
func followed(t testing.TB, s *models.Store) (*costing.Yard, map[string][]clock.Correction) {
	t.Helper()
	var y *costing.Yard
	corrections := map[string][]clock.Correction{}
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		snap, err := tx.Snapshot(t.Context())
		if err != nil {
			return err
		}
		y = snap.Yard
		for worker, list := range snap.Corrections {
			for _, c := range list {
				corrections[worker] = append(corrections[worker], *c)
			}
		}
		codes, err := tx.Codes(t.Context())
		for _, c := range codes {
			heard := snap.Resolve(c.Payload, Now+costing.Instant(time.Hour/time.Millisecond)*24*400)
			if (c.RevokedMs == nil) != (heard.Kind == clock.Kind(c.Kind) && (heard.Key == c.Key || heard.Kind == clock.Progress)) {
				t.Errorf("%s of %s %s is heard as %+v", c.Payload, c.Kind, c.Key, heard)
			}
		}
		return err
	}))
	return y, corrections
}

// testFollow: a store that follows the yard change by change has the same yard
// as one that reads it all.
func testFollow(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	follow(t, s, s)
}

// follow makes changes through one store and compares what another knows with
// the yard as it is read from nothing.
func follow(t *testing.T, s, other *models.Store) {
	r := rand.New(rand.NewPCG(7, 7))
	at := Now
	some := func(keys ...string) string { return keys[r.IntN(len(keys))] }
	million := costing.Price(costing.Million)
	lots := []string{"L1", "L2", "L3", "L4", "L5", "L6"}
	enter := func(n int) []any {
		at += 60_000
		instant := at
		key := fmt.Sprint("N", n)
		switch n % 13 {
		case 0:
			return []any{models.CountRow{Lot: some(lots...), At: instant, Quantity: costing.Quantity(r.IntN(90)) * costing.Million}}
		case 1:
			lots = append(lots, key)
			return []any{
				models.DeliveryRow{Delivery: "D" + key, Received: instant, Supplier: "Torvane"},
				models.LotRow{Lot: key, Item: "BIAX", Received: instant, Quantity: 50 * costing.Million, Price: 100 * million, Delivery: "D" + key},
				models.LotRow{Lot: key + "b", Item: "RES", Received: instant, Quantity: 50 * costing.Million, Price: 50 * million, Delivery: "D" + key, SupplierBatch: "B1"},
			}
		case 2:
			return []any{models.LandedRow{Delivery: fmt.Sprint("DN", n-1), At: instant, What: "freight", Amount: 10 * million, ShareBy: some("mass", "value")}}
		case 3:
			return []any{models.LotRow{Lot: key, Item: "BIAX", Received: instant, Quantity: costing.Million, Parent: fmt.Sprint("N", n-2), FromJob: some("", "J1")}}
		case 4:
			return []any{
				models.LotRow{Lot: key, Item: "BIAX", Received: instant, Quantity: 500_000, Parent: fmt.Sprint("N", n-1)},
				models.LotPlaceRow{Lot: key, At: instant, Place: "Rack 9"},
				models.LotRow{Lot: fmt.Sprint("N", n-3), Item: "BIAX", Received: instant - 240_000, Quantity: 51 * costing.Million, Price: 100 * million, Delivery: fmt.Sprint("DN", n-3), SupplierBatch: key, Expires: "2027-01-31"},
			}
		case 5:
			return []any{models.InvoiceRow{Lot: some("L1", "L3", "L5"), At: instant, Price: 99 * million}, models.HoldRow{Lot: some(lots...), At: instant, Kind: some("hold", "release"), Who: "Quill", Why: "test"}}
		case 6:
			return []any{models.CorrectionRow{Worker: some("101", "102"), At: instant, Kind: "add", Target: some("J1", "CLEAN", "off"), Who: "Quill", Why: "test"}}
		case 7:
			return []any{
				models.JobRow{Job: key, Hull: "H1", Stage: "LAM", Part: "keel", Purpose: "build"},
				models.EstimateRow{Job: some(key, "J1"), Element: "labour", Key: "laminator", Quantity: costing.Quantity(n) * costing.Million, StandardRate: 30 * million},
			}
		case 8:
			return []any{models.CountSheetRow{Sheet: key, Opened: instant, Who: "Quill"}, models.TallyRow{Sheet: key, Lot: "L1", Round: 1, At: instant, Who: "Quill"}, models.TallyRow{Sheet: "C-1", Lot: some(lots...), Round: 3, At: instant, Who: "Quill"}}
		case 9:
			return []any{models.FXRow{Currency: some("NOK", "USD"), From: models.Day(fmt.Sprintf("2026-02-%02d", n%28+1)), Rate: million + costing.Price(n)}}
		case 10:
			return []any{models.ItemRow{Item: "BIAX", Name: "Biaxial glass", StockUnit: "MTK", CostMethod: "lot", StandardPrice: million * costing.Price(n), WasteMode: "measured", Role: "fibre", RollWidthM: ptr(models.Decimal(1_270_000)), KgPerUnit: ptr(models.Decimal(600_000 + n%26))}}
		case 11:
			return []any{models.WorkerRow{Number: key, Name: key, Grade: "laminator", Crew: "C1", Shift: "day"}, models.RateRow{Worker: key, From: "2026-01-01", Rate: 20 * million}}
		}
		return []any{
			models.BoughtRow{Document: key, Date: "2026-03-01", Hull: "H1", Stage: "FIT", Description: "mast", Amount: 1, Purpose: "build"},
			models.PaymentRow{Payment: key, Document: key, Date: "2026-03-05", Amount: 1},
			models.HullRow{Hull: key, Model: "Brisa 34", Price: 1, PriceCurrency: "EUR", PriceRate: million, Signed: "2026-01-01"},
		}
	}
	rounds := 39
	for n := range rounds {
		files, err := models.FilesOf(enter(n)...)
		require.NoError(t, err)
		opts := models.LoadOptions{Now: at, Who: "test"}
		require.NoError(t, s.Try(t.Context(), files, opts, func(tx *models.Tx, _ *models.LoadReport) error {
			snap, err := tx.Snapshot(t.Context())
			require.NoError(t, err)
			whole, err := tx.Yard(t.Context())
			require.NoError(t, err)
			assert.Equal(t, whole, snap.Yard, "within trial %d", n)
			return nil
		}))
		_, err = s.Enter(t.Context(), files, opts)
		require.NoError(t, err, "round %d", n)
		if n%13 == 6 { // a lost card in between
			_, err := s.RevokeCode(t.Context(), codeOf(t, s, "job", "J1"), true, models.Deed{Who: "test", At: at})
			require.NoError(t, err)
		}
		y, corrections := followed(t, other)
		whole := yardOf(t, other)
		if !assert.Equal(t, whole, y, "after round %d", n) {
			return
		}
		rows := correctionsOf(t, other)
		count := 0
		for _, list := range corrections {
			count += len(list)
			assert.True(t, slices.IsSortedFunc(list, func(a, b clock.Correction) int { return int(a.At - b.At) }))
		}
		assert.Equal(t, rows, count)
	}
	checked(t, "followed", s)
}

func ptr[T any](v T) *T { return &v }

func codeOf(t testing.TB, s *models.Store, kind, key string) string {
	t.Helper()
	for _, c := range codesOf(t, s) {
		if c.Kind == kind && c.Key == key && c.RevokedMs == nil {
			return c.Payload
		}
	}
	t.Fatalf("%s %s has no code", kind, key)
	return ""
}

func correctionsOf(t testing.TB, s *models.Store) (n int) {
	t.Helper()
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		rows, err := tx.Corrections(t.Context())
		n = len(rows)
		return err
	}))
	return n
}
