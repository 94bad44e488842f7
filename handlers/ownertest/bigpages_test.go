package ownertest

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
	"hulltally/models/benchtest"
	"hulltally/models/conformance"
)

// pageLimit is the server's time that a page may take in a yard of ten years.
const pageLimit = 150 * time.Millisecond

// bigYard is the tiny yard with ten years of 200 hulls in 30 stages.
func bigYard(t testing.TB, big benchtest.Big) *yard {
	t.Helper()
	ctx := context.Background()
	store, err := models.Open(ctx, "sqlite:"+filepath.Join(t.TempDir(), "big.db"))
	require.NoError(t, err)
	_, err = store.Load(ctx, conformance.Tiny(), models.LoadOptions{Now: costing.InstantOf(now), Who: "test"})
	require.NoError(t, err)
	require.NoError(t, big.Fill(ctx, store, costing.DateOf(costing.InstantOf(now), time.UTC)))
	y, err := serve(store)
	require.NoError(t, err)
	t.Cleanup(y.close)
	return y
}

// BenchmarkBigPages measures the server's time for each page of a yard of ten
// years beside reading all the kept totals in the same run, and the limit.
func BenchmarkBigPages(b *testing.B) {
	y := bigYard(b, benchtest.YearsOfWork)
	o := y.as(b, models.Owner)
	begun := time.Now()
	require.NoError(b, y.store.Read(b.Context(), func(tx *models.Tx) error {
		_, err := tx.Totals(b.Context())
		return err
	}))
	read := time.Since(begun)
	b.Logf("%d kept totals and their detail are read in %v", benchtest.YearsOfWork.Cells(), read)
	for _, path := range []string{
		"/board", "/board?model=Model+3&stage=S07", "/hull/B198", "/hull/B100", "/hull/B198/stage/S04", "/stage/S04",
		"/postings?hull=B198&stage=S04&element=labour",
	} {
		b.Run(path[1:], func(b *testing.B) {
			begun := time.Now()
			o.page(path)
			first := time.Since(begun)
			took := time.Duration(0)
			n := 0
			for b.Loop() {
				begun := time.Now()
				o.page(path)
				took += time.Since(begun)
				n++
			}
			each := took / time.Duration(n)
			b.ReportMetric(float64(each)/float64(read), "×totals")
			b.ReportMetric(float64(each)/float64(pageLimit), "×limit")
			b.Logf("%s: %v the first time, then %v: %.2f of the limit of %v", path, first, each, float64(each)/float64(pageLimit), pageLimit)
		})
	}
}
