package models_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
	"hulltally/models/conformance"
)

// BenchmarkOneCountAmongMany enters one count in a yard of 50,000 lots and as
// many counts, and 200,000 estimate lines: what stalls the intake meanwhile.
// Beside it stands what reading all of the yard anew takes.
func BenchmarkOneCountAmongMany(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { oneCount(b, "sqlite:"+filepath.Join(b.TempDir(), "yard.db")) })
	if os.Getenv(conformance.PostgresEnv) != "" {
		b.Run("postgres", func(b *testing.B) { oneCount(b, conformance.PostgresURL(b)) })
	}
}

func oneCount(b *testing.B, address string) {
	s, err := models.Open(b.Context(), address)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	opts := models.LoadOptions{Now: conformance.Now, Who: "test"}
	if _, err := s.Load(b.Context(), conformance.Tiny(), opts); err != nil {
		b.Fatal(err)
	}
	if _, err := s.Enter(b.Context(), manyLots(50_000, 200_000), opts); err != nil {
		b.Fatal(err)
	}
	snapshot := func(s *models.Store) {
		if err := s.Read(b.Context(), func(tx *models.Tx) error {
			_, err := tx.Snapshot(context.Background())
			return err
		}); err != nil {
			b.Fatal(err)
		}
	}
	fresh, err := models.Open(b.Context(), address)
	if err != nil {
		b.Fatal(err)
	}
	begun := time.Now()
	snapshot(fresh)
	whole := time.Since(begun)
	if err := fresh.Close(); err != nil {
		b.Fatal(err)
	}
	snapshot(s)
	n := 0
	for b.Loop() {
		n++
		files, err := models.FilesOf(models.CountRow{
			Lot: fmt.Sprintf("M%05d", n), At: conformance.Now + costing.Instant(n), Quantity: costing.Million,
		})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.Enter(b.Context(), files, opts); err != nil {
			b.Fatal(err)
		}
		snapshot(s)
	}
	b.ReportMetric(float64(whole.Microseconds())/1000, "ms-all-anew")
	b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(n), "ms-a-count")
}

func manyLots(lots, lines int) map[string][]byte {
	var l, c, e bytes.Buffer
	fmt.Fprintln(&l, "lot,item,received,quantity,price")
	fmt.Fprintln(&c, "lot,at,quantity")
	fmt.Fprintln(&e, "job,change,element,key,quantity,standard_rate")
	for i := range lots {
		fmt.Fprintf(&l, "M%05d,BIAX,2026-01-10T09:00:00Z,100,420\n", i)
		fmt.Fprintf(&c, "M%05d,2026-02-10T09:00:00Z,100\n", i)
	}
	for i := range lines {
		fmt.Fprintf(&e, "J%d,,bought-in,part %06d,1,%d\n", i%5+1, i, i%90+1)
	}
	return map[string][]byte{"lots.csv": l.Bytes(), "counts.csv": c.Bytes(), "estimate.csv": e.Bytes()}
}
