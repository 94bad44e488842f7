package conformance

import (
	"encoding/csv"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/costing/stock"
	"hulltally/models"
)

// testAsOf: the figures as of an instant are those of a yard that only ever
// got what had happened by then.
func testAsOf(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	y.yard["invoices.csv"] = strings.ReplaceAll(y.yard["invoices.csv"], "2026-05-2", "2026-05-1")
	s := open(t)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads, 1000)
	for _, at := range []string{
		"2026-05-03T12:00:00Z",      // before the first read
		"2026-05-05T09:17:31Z",      // in the middle of work
		"2026-05-07T11:10:00Z",      // in the break
		"2026-05-08T22:59:59.999Z",  // the last moment of a local day
		"2026-05-10T10:00:00Z",      // a Sunday
		"2026-05-13T05:00:00Z",      // the very instant of the counts
		"2026-05-13T04:59:59.999Z",  // just before it
		"2026-05-15T16:20:00+01:00", // after the shift, within the grace
		"2026-06-10T00:00:00Z",      // all is past, some never clocked off
	} {
		instant := mustInstant(at)
		then := open(t)
		load(t, then, y.yard.happened(t, instant).write(t))
		var reads []models.ReadRow
		for _, r := range y.reads {
			if r.At <= instant {
				reads = append(reads, r)
			}
		}
		scan(t, then, reads, 1000)
		got, want := figures(t, s, instant), figures(t, then, instant)
		if got == want {
			continue
		}
		g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
		i := 0
		for i < min(len(g), len(w)) && g[i] == w[i] {
			i++
		}
		t.Errorf("at %s the figures differ at line %d of %d:\ngot  %s\nwant %s", at, i, len(w), rowAt(g, i), rowAt(w, i))
	}
}

// figures is all that reports are made of, as text.
func figures(t testing.TB, s *models.Store, at costing.Instant) string {
	t.Helper()
	var b strings.Builder
	err := s.Read(t.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(t.Context(), at)
		if err != nil {
			return err
		}
		lines(&b, "total", f.Totals.Cells)
		lines(&b, "fine", f.Totals.Fine)
		lines(&b, "account", f.Totals.Ledger)
		lines(&b, "progress", f.Stated)
		for _, p := range f.Running {
			fmt.Fprintf(&b, "running %+v\n", p)
		}
		worth := map[stock.Unit]string{}
		for u, book := range f.Books {
			worth[u] = fmt.Sprintf("%d %+v", f.Worth(u), *book)
			for _, lot := range slices.Sorted(maps.Keys(book.Lots)) {
				worth[u] += fmt.Sprintf(" %s %+v", lot, *book.Lots[lot])
			}
			worth[u] = strings.ReplaceAll(worth[u], fmt.Sprint(book.Lots), "")
		}
		lines(&b, "stock", worth)
		cost, err := f.Cost()
		if err != nil {
			return err
		}
		for _, row := range cost.Rows {
			fmt.Fprintf(&b, "row %+v\n", row)
		}
		for _, m := range cost.Margins {
			fmt.Fprintf(&b, "margin %+v\n", m)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// lines writes a map sorted, without the values of nought.
func lines[K, V comparable](b *strings.Builder, name string, m map[K]V) {
	var zero V
	var list []string
	for k, v := range m {
		if v != zero {
			list = append(list, fmt.Sprintf("%s %+v %+v\n", name, k, v))
		}
	}
	slices.Sort(list)
	b.WriteString(strings.Join(list, ""))
}

// happened keeps of the folder what had happened by an instant.
func (f folder) happened(t testing.TB, at costing.Instant) folder {
	t.Helper()
	lots := map[string]bool{}
	by := func(cell string) bool { return mustInstant(cell) <= at }
	zone := zoneOf(t, f)
	c := maps.Clone(f)
	keep := func(file string, wanted func(cell func(column string) string) bool) {
		c[file] = filterCSV(t, f[file], wanted)
	}
	keep("lots.csv", func(cell func(string) string) bool {
		lots[cell("lot")] = by(cell("received"))
		return lots[cell("lot")]
	})
	for _, file := range []string{"invoices.csv", "counts.csv"} {
		keep(file, func(cell func(string) string) bool { return lots[cell("lot")] && by(cell("at")) })
	}
	keep("codes.csv", func(cell func(string) string) bool { return cell("kind") != "lot" || lots[cell("key")] })
	keep("corrections.csv", func(cell func(string) string) bool { return by(cell("at")) })
	keep("bought.csv", func(cell func(string) string) bool { return cell("date") <= zone(at) })
	return c
}

// zoneOf gives the local day of an instant in the folder's time zone.
func zoneOf(t testing.TB, f folder) func(costing.Instant) string {
	if !strings.Contains(f["policy.csv"], "Europe/Lisbon") {
		t.Fatal("the yard is elsewhere")
	}
	return func(at costing.Instant) string { return (at + 3_600_000).Time().Format("2006-01-02") } // summer time
}

func filterCSV(t testing.TB, text string, wanted func(cell func(column string) string) bool) string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	kept := rows[:1]
	for _, row := range rows[1:] {
		if wanted(func(column string) string { return row[slices.Index(rows[0], column)] }) {
			kept = append(kept, row)
		}
	}
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(kept); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
