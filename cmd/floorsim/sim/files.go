package sim

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strconv"

	"hulltally/costing"
)

// table is a yard file: its name, its columns and its records.
type table struct {
	name    string
	columns []string
	records iter.Seq[[]string]
}

// WriteYard writes every yard file, codes.csv and reads.csv into a folder,
// which is made if need be.
func (w *World) WriteYard(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("making the yard's folder: %w", err)
	}
	for _, t := range w.tables() {
		if err := writeFile(filepath.Join(dir, t.name), t); err != nil {
			return err
		}
	}
	return nil
}

// WriteTruth writes what really happened to a CSV file of its own: it is no
// yard file, and a yard would not have it.
func (w *World) WriteTruth(path string) error {
	return writeFile(path, table{
		path,
		[]string{"kind", "worker", "job", "lot", "from", "to", "left", "net", "waste", "scanned"},
		func(yield func([]string) bool) {
			for f := range w.Truth() {
				if !yield([]string{f.Kind, f.Worker, f.Job, f.Lot, w.instant(f.From), w.instant(f.To), f.Left.String(), f.Net.String(), f.Waste.String(), yesNo(f.Scanned)}) {
					return
				}
			}
		},
	})
}

func writeFile(path string, t table) (err error) {
	file, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("writing a yard file: %w", err)
	}
	defer func() {
		if e := file.Close(); err == nil {
			err = e
		}
	}()
	buffer := bufio.NewWriterSize(file, 1<<16)
	if err := t.write(buffer); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return buffer.Flush()
}

func (t table) write(to io.Writer) error {
	out := csv.NewWriter(to)
	if err := out.Write(t.columns); err != nil {
		return err
	}
	for r := range t.records {
		if err := out.Write(r); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// rows turns typed rows into records.
func rows[T any](of []T, record func(T) []string) iter.Seq[[]string] {
	return func(yield func([]string) bool) {
		for _, r := range of {
			if !yield(record(r)) {
				return
			}
		}
	}
}

func (w *World) instant(at costing.Instant) string {
	return at.Time().In(w.zone).Format("2006-01-02T15:04:05.999Z07:00")
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// blank is a decimal, or nothing where it is zero: an optional column.
func blank[T ~int64](v T) string {
	if v == 0 {
		return ""
	}
	return costing.FormatDecimal(int64(v))
}

func decimal[T ~int64](v T) string { return costing.FormatDecimal(int64(v)) }

func dateOr(d *costing.Date) string {
	if d == nil {
		return ""
	}
	return d.String()
}

func readRecord(w *World) func(Read) []string {
	utc := map[string]bool{} // a third of the stations send UTC
	for i, s := range w.Stations {
		utc[s.Key] = i%3 == 2
	}
	return func(r Read) []string {
		at := w.instant(r.At)
		if utc[r.Station] {
			at = r.At.Time().Format("2006-01-02T15:04:05.999Z07:00")
		}
		return []string{r.ID, r.Station, strconv.FormatInt(r.N, 10), at, r.Payload}
	}
}
