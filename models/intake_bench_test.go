package models_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

// simYard writes the simulated yard's files to a folder of their own, and gives
// its reads apart.
func simYard(b testing.TB) (dir string, reads []models.ReadRow) {
	b.Helper()
	dir = b.TempDir()
	world := sim.Generate(sim.Default())
	if err := world.WriteYard(dir); err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(dir, "reads.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		b.Fatal(err)
	}
	if reads, err = models.ParseReads(text); err != nil {
		b.Fatal(err)
	}
	if err := os.Remove(path); err != nil {
		b.Fatal(err)
	}
	return dir, reads
}

func BenchmarkScanFileSQLite(b *testing.B) {
	dir, reads := simYard(b)
	ctx := context.Background()
	for b.Loop() {
		b.StopTimer()
		s, err := models.Open(ctx, "sqlite:"+filepath.Join(b.TempDir(), "bench.db"))
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.Load(ctx, dir, models.LoadOptions{Now: costing.InstantOf(time.Now())}); err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		if _, err := s.Scan(ctx, reads, costing.InstantOf(time.Now()), nil); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(reads)*b.N)/b.Elapsed().Seconds(), "reads/s")
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
