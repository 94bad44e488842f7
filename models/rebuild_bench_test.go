package models_test

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
	"hulltally/models/conformance"
)

// ofStreaming is the limit a rebuild is held to: this share of the speed at
// which the database hands out the rows it looks at.
const ofStreaming = 0.8

// BenchmarkRebuild computes six months of the simulated yard anew and compares,
// beside streaming the same rows out in the same run.
func BenchmarkRebuild(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchRebuild(b, "sqlite:"+filepath.Join(b.TempDir(), "bench.db")) })
	b.Run("postgres", func(b *testing.B) { benchRebuild(b, conformance.PostgresURL(b)) })
}

func benchRebuild(b *testing.B, url string) {
	ctx := context.Background()
	store, err := models.Open(ctx, url)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	dir := b.TempDir()
	if err := sim.Generate(sim.Default()).WriteYard(dir); err != nil {
		b.Fatal(err)
	}
	if _, err := store.Load(ctx, dir, models.LoadOptions{Now: costing.InstantOf(time.Now())}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		began := time.Now()
		rows, err := store.StreamOut(ctx)
		if err != nil {
			b.Fatal(err)
		}
		stream := time.Since(began)
		began = time.Now()
		differences, err := store.Check(ctx, nil)
		if err != nil || len(differences) > 0 {
			b.Fatalf("%v, %d differences", err, len(differences))
		}
		check := time.Since(began)
		ratio := stream.Seconds() / check.Seconds()
		b.ReportMetric(ratio, "of-streaming")
		b.ReportMetric(check.Seconds(), "rebuild-s")
		b.Logf("rebuild and compare %v, streaming its %d rows %v: %.2f of streaming (limit %.2f)", check, rows, stream, ratio, ofStreaming)
	}
}
