package scantest

import (
	"encoding/csv"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// yard gathers the rows of a script's yard files.
type yard struct {
	zone *time.Location
	rows map[string][]map[string]string // by file name
}

func newYard(zone *time.Location) *yard { return &yard{zone, map[string][]map[string]string{}} }

// kinds says for each kind of yard line its file, its key's column and what
// its other columns are unless the line says otherwise.
var kinds = map[string]struct{ file, key, defaults string }{
	"worker":     {"workers.csv", "number", "grade=fitter shift=day"},
	"crew":       {"crews.csv", "crew", ""},
	"indirect":   {"indirects.csv", "indirect", ""},
	"station":    {"stations.csv", "station", "kind=clock place=ashore"},
	"stage":      {"stages.csv", "stage", "order=1"},
	"overhead":   {"overheads.csv", "stage", "from=2026-01-01"},
	"rate":       {"rates.csv", "worker", "from=2026-01-01"},
	"holiday":    {"holidays.csv", "date", ""},
	"hull":       {"hulls.csv", "hull", "model=M price=100000 price_currency=EUR price_rate=1 signed=2026-01-02"},
	"job":        {"jobs.csv", "job", "stage=LAM purpose=build"},
	"item":       {"items.csv", "item", "stock_unit=KGM cost_method=lot standard_price=10 waste_mode=measured role=other"},
	"lot":        {"lots.csv", "lot", "received=2026-02-02T08:00"},
	"invoice":    {"invoices.csv", "lot", ""},
	"count":      {"counts.csv", "lot", ""},
	"correction": {"corrections.csv", "worker", "who=W9 why=script"},
	"stated":     {"progress.csv", "job", "who=W9"},
	"hold":       {"job_holds.csv", "job", "kind=demould"},
	"factor":     {"waste_factors.csv", "item", ""},
	"bought":     {"bought.csv", "document", "stage=LAM hull=H1 description=part"},
}

// line takes one yard line in.
func (y *yard) line(words []string) error {
	switch words[0] {
	case "policy":
		row := map[string]string{"key": words[1], "from": "", "value": words[2]}
		if len(words) > 3 {
			row["from"] = words[3]
		}
		y.rows["policy.csv"] = append(y.rows["policy.csv"], row)
		return nil
	case "shift":
		start, end, _ := strings.Cut(words[3], "-")
		for weekday := words[2][0]; weekday <= words[2][len(words[2])-1]; weekday++ {
			y.add("shifts.csv", map[string]string{"shift": words[1], "weekday": string(weekday), "start": start, "end": end})
		}
		return nil
	case "break":
		start, end, _ := strings.Cut(words[2], "-")
		y.add("breaks.csv", map[string]string{"shift": words[1], "weekday": "", "start": start, "end": end})
		return nil
	}
	kind, ok := kinds[words[0]]
	if !ok || len(words) < 2 {
		return fmt.Errorf("%q is no kind of yard line", words[0])
	}
	row := map[string]string{kind.key: words[1]}
	for _, cell := range append(strings.Fields(kind.defaults), words[2:]...) {
		column, value, ok := strings.Cut(cell, "=")
		if !ok {
			return fmt.Errorf("%q gives no column", cell)
		}
		row[column] = value
	}
	return y.extras(kind.file, row)
}

// extras puts in the place of a row's local times instants, and rows of other
// files that a line may state at once.
func (y *yard) extras(file string, row map[string]string) error {
	for _, column := range []string{"at", "received"} {
		if text, ok := row[column]; ok {
			day, clock, _ := strings.Cut(text, "T")
			at, err := instant(day, clock, y.zone)
			if err != nil {
				return err
			}
			row[column] = at.String()
		}
	}
	for column, of := range map[string]struct{ with, file, key string }{
		"rate": {"workers.csv", "rates.csv", "worker"}, "overhead": {"stages.csv", "overheads.csv", "stage"},
	} {
		if rate, ok := row[column]; ok && file == of.with {
			delete(row, column)
			y.add(of.file, map[string]string{of.key: row["number"] + row["stage"], "from": "2026-01-01", "rate": rate})
		}
	}
	switch file {
	case "workers.csv", "crews.csv", "indirects.csv", "stations.csv", "stages.csv", "items.csv", "holidays.csv":
		if row["name"] == "" {
			row["name"] = row[map[string]string{
				"workers.csv": "number", "crews.csv": "crew", "indirects.csv": "indirect",
				"stations.csv": "station", "stages.csv": "stage", "items.csv": "item", "holidays.csv": "date",
			}[file]]
		}
	}
	y.add(file, row)
	return nil
}

func (y *yard) add(file string, row map[string]string) { y.rows[file] = append(y.rows[file], row) }

// has reports whether the script states a row itself.
func (y *yard) has(file, column, value string) bool {
	return slices.ContainsFunc(y.rows[file], func(row map[string]string) bool { return row[column] == value })
}

// files adds what every yard has and writes the files.
func (y *yard) files() map[string]string {
	for _, line := range []string{
		"policy currency EUR", "policy time_zone Europe/Lisbon", "station GATE", "station STORE kind=stores",
		"stage LAM", "hull H1", "hull H2", "indirect CLEAN",
	} {
		words := strings.Fields(line)
		file, key := "policy.csv", "key"
		if kind, ok := kinds[words[0]]; ok {
			file, key = kind.file, kind.key
		}
		if !y.has(file, key, words[1]) {
			_ = y.line(words) // these lines are good
		}
	}
	texts := map[string]string{}
	for file, rows := range y.rows {
		columns := map[string]bool{}
		for _, row := range rows {
			for c := range row {
				columns[c] = true
			}
		}
		names := slices.Sorted(maps.Keys(columns))
		var b strings.Builder
		w := csv.NewWriter(&b)
		_ = w.Write(names) // a Builder takes everything
		for _, row := range rows {
			cells := make([]string, len(names))
			for i, c := range names {
				cells[i] = row[c]
			}
			_ = w.Write(cells)
		}
		w.Flush()
		texts[file] = b.String()
	}
	return texts
}
