package models_test

import (
	"context"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"hulltally/models"
	"hulltally/models/bare"
	"hulltally/models/benchtest"
	"hulltally/models/conformance"
)

// Limits the intake is held to, by the database: of a bare grouped writer of
// the same rows, and of a straightforward use of gorm.
const (
	ofBare  = 0.55
	ofPlain = 4.5
	senders = 64
)

// BenchmarkIntake measures durable reads a second of the intake with 64
// senders, beside its limits in the same run.
func BenchmarkIntake(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchIntake(b, "sqlite:"+filepath.Join(b.TempDir(), "bench.db")) })
	b.Run("postgres", func(b *testing.B) { benchIntake(b, conformance.PostgresURL(b)) })
}

const benchFor = 3 * time.Second

func benchIntake(b *testing.B, url string) {
	ctx := context.Background()
	s, err := models.Open(ctx, url)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	floor := benchtest.NewFloor(b, s, senders)
	for b.Loop() {
		intake := takeRate(b, s, floor)
		writer := rate(b, func(k int) (int, error) { return senders, bare.Write(ctx, s, senders, 2*senders*k) })
		plain := rate(b, func(k int) (int, error) { return 2, benchtest.Plain(ctx, s, k) })
		b.ReportMetric(intake, "reads/s")
		b.ReportMetric(writer, "bare-rows/s")
		b.ReportMetric(intake/writer, "of-bare")
		b.ReportMetric(intake/plain, "of-plain")
		b.Logf("intake %.0f reads/s = %.2f of the bare writer (limit %.2f), %.1f × plain gorm (limit %.1f)",
			intake, intake/writer, ofBare, intake/plain, ofPlain)
	}
}

// takeRate sends from all stations at once, one read at a time each.
func takeRate(b *testing.B, s *models.Store, floor *benchtest.Floor) float64 {
	in := models.NewIntake(s, time.Now)
	defer in.Close()
	counts := make([]int, floor.Stations)
	began := time.Now()
	var all sync.WaitGroup
	for i := range floor.Stations {
		all.Go(func() {
			for time.Since(began) < benchFor {
				answers, err := in.Take(b.Context(), []models.ReadRow{floor.Read(i, counts[i])})
				if err != nil || answers[0].Outcome == "refused" {
					b.Errorf("read %d of station %d: %v %+v", counts[i], i, err, answers)
					return
				}
				counts[i]++
			}
		})
	}
	all.Wait()
	sum := 0
	for _, n := range counts {
		sum += n
	}
	return float64(sum) / time.Since(began).Seconds()
}

func rate(b *testing.B, do func(k int) (int, error)) float64 {
	began, sum := time.Now(), 0
	for k := 0; time.Since(began) < benchFor; k++ {
		n, err := do(k)
		if err != nil {
			b.Fatal(err)
		}
		sum += n
	}
	return float64(sum) / time.Since(began).Seconds()
}
