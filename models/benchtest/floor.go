package benchtest

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/uuid"

	"hulltally/costing"
	"hulltally/models"
)

// Floor is a yard whose every station sends badge, job, badge, job …; each
// badge and job is one booking ended and one begun.
type Floor struct {
	Stations, Workers, Jobs int
	badges, jobs            []string
	start                   time.Time
}

// NewFloor loads a yard of n stations with ten workers each into a store.
func NewFloor(tb testing.TB, s *models.Store, n int) *Floor {
	tb.Helper()
	f := &Floor{Stations: n, Workers: 10 * n, Jobs: 4 * n, start: time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)}
	dir := tb.TempDir()
	f.write(tb, dir)
	ctx := context.Background()
	if _, err := s.Load(ctx, dir, models.LoadOptions{Now: costing.InstantOf(f.start)}); err != nil {
		tb.Fatal(err)
	}
	err := s.Read(ctx, func(tx *models.Tx) error {
		codes, err := tx.Codes(ctx)
		for _, c := range codes {
			switch c.Kind {
			case "worker":
				f.badges = append(f.badges, c.Payload)
			case "job":
				f.jobs = append(f.jobs, c.Payload)
			}
		}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func (f *Floor) write(tb testing.TB, dir string) {
	files := map[string][][]string{
		"policy.csv": {{"key", "value"}, {"currency", "EUR"}, {"time_zone", "UTC"}, {"on_cost", "0.25"}},
		"grades.csv": {{"grade", "from", "standard_rate"}, {"B", "2026-01-01", "30"}},
		"shifts.csv": {{"shift", "weekday", "start", "end"}, {"day", "1", "06:00", "16:00"}},
		"stages.csv": {{"stage", "name", "order"}, {"S1", "Shells", "1"}, {"S2", "Fairing", "2"}},
		"overheads.csv": {
			{"stage", "from", "rate"}, {"S1", "2026-01-01", "12.5"}, {"S2", "2026-01-01", "14"},
		},
		"hulls.csv": {{"hull", "model", "price", "price_currency", "price_rate", "signed"}},
		"jobs.csv":  {{"job", "hull", "stage", "purpose"}}, "workers.csv": {{"number", "name", "grade", "shift"}},
		"rates.csv": {{"worker", "from", "rate"}}, "stations.csv": {{"station", "name", "kind", "place"}},
	}
	for i := range 8 {
		files["hulls.csv"] = append(files["hulls.csv"], []string{fmt.Sprintf("H%d", i), "M", "500000", "EUR", "1", "2026-01-05"})
	}
	for i := range f.Jobs {
		files["jobs.csv"] = append(files["jobs.csv"], []string{fmt.Sprintf("J%04d", i), fmt.Sprintf("H%d", i%8), fmt.Sprintf("S%d", 1+i%2), "build"})
	}
	for i := range f.Workers {
		w := fmt.Sprintf("W%04d", i)
		files["workers.csv"] = append(files["workers.csv"], []string{w, "Worker " + w, "B", "day"})
		files["rates.csv"] = append(files["rates.csv"], []string{w, "2026-01-01", fmt.Sprintf("%d.37", 18+i%9)})
	}
	for i := range f.Stations {
		files["stations.csv"] = append(files["stations.csv"], []string{Station(i), "Station", "clock", "ashore"})
	}
	for name, rows := range files {
		out, err := os.Create(filepath.Join(dir, name))
		if err != nil {
			tb.Fatal(err)
		}
		if err := csv.NewWriter(out).WriteAll(rows); err != nil {
			tb.Fatal(err)
		}
		if err := out.Close(); err != nil {
			tb.Fatal(err)
		}
	}
}

// Station is the key of a floor's station.
func Station(i int) string { return fmt.Sprintf("ST%03d", i) }

// Read is the k-th read of a station: badges and jobs in turn, a sentence every
// 40 s, each station with workers of its own.
func (f *Floor) Read(station, k int) models.ReadRow {
	sentence := k / 2
	r := models.ReadRow{
		ID: uuid.NewString(), Station: Station(station), N: int64(k),
		At: costing.InstantOf(f.start.Add(time.Duration(sentence)*40*time.Second + time.Duration(k%2)*3*time.Second)),
	}
	worker := station*10 + sentence%10
	if k%2 == 0 {
		r.Payload = f.badges[worker]
	} else {
		r.Payload = f.jobs[(worker+7*(sentence/10))%len(f.jobs)]
	}
	return r
}
