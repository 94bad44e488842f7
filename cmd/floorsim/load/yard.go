package load

import (
	"context"
	"fmt"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// yard is a yard of any size: what its stations scan.
type yard struct {
	people, stations   int
	badges, jobs, lots []string          // payloads
	off                string            // of the card that ends a day
	keys               map[string]string // of the stations
}

// The shape of a yard: a clock station for each ten people, hulls as they keep
// people busy, thirty stages a hull.
const (
	peopleAtStation = 10
	peopleOnHull    = 7
	stagesOfHull    = 30
	lotsOfHull      = 20
)

func stationName(i int) string { return fmt.Sprintf("ST%04d", i) }

// newYard enters a yard of so many people into an empty database.
func newYard(ctx context.Context, s *models.Store, people int, from time.Time) (*yard, error) {
	y := &yard{people: people, stations: max(1, people/peopleAtStation), keys: map[string]string{}}
	now := costing.InstantOf(from)
	if _, err := s.Enter(ctx, y.files(from), models.LoadOptions{Now: now, Who: "load", Subject: "a yard for measuring"}); err != nil {
		return nil, err
	}
	err := s.Read(ctx, func(tx *models.Tx) error {
		codes, err := tx.Codes(ctx)
		for _, c := range codes {
			switch c.Kind {
			case "worker":
				y.badges = append(y.badges, c.Payload)
			case "job":
				y.jobs = append(y.jobs, c.Payload)
			case "lot":
				y.lots = append(y.lots, c.Payload)
			case "off":
				y.off = c.Payload
			}
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	for i := range y.stations {
		name := stationName(i)
		if y.keys[name], _, err = s.NewStationKey(ctx, name, models.Deed{Who: "load", At: now}); err != nil {
			return nil, err
		}
	}
	return y, nil
}

// files are the yard's files, by name.
func (y *yard) files(from time.Time) map[string][]byte {
	texts := map[string]*strings.Builder{}
	row := func(file string, cells ...any) {
		b := texts[file]
		if b == nil {
			b = &strings.Builder{}
			texts[file] = b
		}
		for i, c := range cells {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprint(b, c)
		}
		b.WriteByte('\n')
	}
	row("policy.csv", "key", "value")
	row("policy.csv", "currency", "EUR")
	row("policy.csv", "time_zone", "UTC")
	row("policy.csv", "on_cost", "0.235")
	row("grades.csv", "grade", "from", "standard_rate")
	row("grades.csv", "B", "2015-01-01", 31)
	row("shifts.csv", "shift", "weekday", "start", "end")
	for day := 1; day <= 5; day++ {
		row("shifts.csv", "DAY", day, "07:00", "16:00")
	}
	row("stages.csv", "stage", "name", "order")
	row("overheads.csv", "stage", "from", "rate")
	for i := range stagesOfHull {
		row("stages.csv", fmt.Sprintf("S%02d", i), fmt.Sprintf("Stage %d", i), i)
		row("overheads.csv", fmt.Sprintf("S%02d", i), "2015-01-01", "11.25")
	}
	row("items.csv", "item", "name", "stock_unit", "cost_method", "standard_price", "waste_mode", "role")
	for i := range lotsOfHull {
		row("items.csv", fmt.Sprintf("I%02d", i), "Resin", "KGM", "lot", "6.5", "measured", "resin")
	}
	row("stations.csv", "station", "name", "kind", "place")
	for i := range y.stations {
		row("stations.csv", stationName(i), "Clock", "clock", "ashore")
	}
	row("workers.csv", "number", "name", "grade", "shift")
	row("rates.csv", "worker", "from", "rate")
	for i := range y.people {
		row("workers.csv", fmt.Sprintf("W%05d", i), "Worker", "B", "DAY")
		row("rates.csv", fmt.Sprintf("W%05d", i), "2015-01-01", fmt.Sprintf("%d.37", 18+i%9))
	}
	row("hulls.csv", "hull", "model", "price", "price_currency", "price_rate", "signed")
	row("jobs.csv", "job", "hull", "stage", "purpose")
	row("lots.csv", "lot", "item", "received", "quantity", "price")
	for h := range max(1, y.people/peopleOnHull) {
		hull := fmt.Sprintf("H%04d", h)
		row("hulls.csv", hull, "M", 900_000, "EUR", 1, "2015-01-05")
		for i := range stagesOfHull {
			row("jobs.csv", fmt.Sprintf("%s-%02d", hull, i), hull, fmt.Sprintf("S%02d", i), "build")
		}
		for i := range lotsOfHull {
			row("lots.csv", fmt.Sprintf("L%04d-%02d", h, i), fmt.Sprintf("I%02d", i), from.UTC().Format(time.RFC3339), 1_000_000, 6_123_456)
		}
	}
	out := map[string][]byte{}
	for name, b := range texts {
		out[name] = []byte(b.String())
	}
	return out
}
