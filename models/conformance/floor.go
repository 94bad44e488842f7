package conformance

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

// floorYard is a small yard and two weeks of what its floor sent.
type floorYard struct {
	yard  folder // without reads
	reads []models.ReadRow
}

// received is when all reads of the suite are taken in: later than they were
// made, so that none is ahead of the clock.
var received = mustInstant("2026-06-30T12:00:00Z")

func mustInstant(s string) costing.Instant {
	at, err := costing.ParseInstant(s)
	if err != nil {
		panic(err)
	}
	return at
}

// small is a yard of nine people who make many mistakes. It is made once.
var small = sync.OnceValues(func() (w *sim.World, reads []sim.Read) {
	c := sim.Default()
	c.People, c.Months, c.Hulls = 9, 1, 2
	r := &c.Rates
	for _, mishap := range []*int{
		&r.ForgottenOff, &r.ForgottenOn, &r.WrongCard, &r.WrongUnnoticed, &r.Undo, &r.Bounce, &r.UnknownCode,
		&r.QuantityOnly, &r.NotALeader, &r.OverIssue, &r.Return, &r.Sunday, &r.OfflineStation,
	} {
		*mishap = min(400, *mishap*8)
	}
	w = sim.Generate(c)
	end := mustInstant("2026-05-17T23:00:00Z")
	for read := range w.Reads() {
		if read.At < end {
			reads = append(reads, read)
		}
	}
	return w, reads
})

func smallYard(t testing.TB) floorYard {
	t.Helper()
	w, reads := small()
	dir := t.TempDir()
	if err := w.WriteYard(dir); err != nil {
		t.Fatal(err)
	}
	f := floorYard{yard: readFolder(t, dir).with("reads.csv", "")}
	// The sim counts at the month's end; here it has to fall among the reads.
	f.yard["counts.csv"] = strings.ReplaceAll(f.yard["counts.csv"], "2026-05-29", "2026-05-13")
	for _, r := range reads {
		f.reads = append(f.reads, models.ReadRow{ID: r.ID, Station: r.Station, N: r.N, At: r.At, Payload: r.Payload})
	}
	return f
}

// shuffled is the reads in another order, always the same for a seed.
func shuffled(reads []models.ReadRow, seed uint64) []models.ReadRow {
	list := slices.Clone(reads)
	dice := rand.New(rand.NewPCG(seed, 1))
	dice.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list
}

// scan records reads in transactions of about size.
func scan(t testing.TB, s *models.Store, reads []models.ReadRow, size int) {
	t.Helper()
	for part := range slices.Chunk(reads, size) {
		if _, err := s.Scan(t.Context(), part, received, nil); err != nil {
			t.Fatal(err)
		}
	}
}

// derivedTables are the tables that follow from what was recorded, each with
// its order and what of it is compared. A total of nought is no total.
var derivedTables = []struct{ table, query string }{
	{"reads", "SELECT id, station, n, at_ms, payload, flag, outcome, code, detail FROM reads ORDER BY id"},
	{"station_heads", "SELECT * FROM station_heads ORDER BY station"},
	{"entries", "SELECT * FROM entries ORDER BY id"},
	{"worker_heads", "SELECT * FROM worker_heads ORDER BY worker"},
	{"worker_weeks", "SELECT * FROM worker_weeks ORDER BY worker, week"},
	{"stock_books", "SELECT * FROM stock_books ORDER BY unit"},
	{"pieces", "SELECT * FROM pieces ORDER BY unit, seq"},
	{"postings", "SELECT * FROM postings ORDER BY unit, seq"},
	{"totals", "SELECT * FROM totals WHERE seconds <> 0 OR amount <> 0 ORDER BY hull, stage, element, purpose, period"},
	{"fine_totals", "SELECT * FROM fine_totals WHERE seconds <> 0 OR quantity <> 0 OR net <> 0 OR waste <> 0 OR amount <> 0 " +
		"ORDER BY hull, job, element, detail, period"},
	{"ledger_totals", "SELECT * FROM ledger_totals WHERE amount <> 0 ORDER BY account, period"},
}

// derived is all that is derived, a line a row, by table.
func derived(t testing.TB, s *models.Store) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	err := s.Read(t.Context(), func(tx *models.Tx) error {
		for _, d := range derivedTables {
			rows, err := tx.DB.Raw(d.query).Rows()
			if err != nil {
				return err
			}
			names, err := rows.Columns()
			if err != nil {
				return err
			}
			cells, marks := make([]any, len(names)), make([]any, len(names))
			for i := range cells {
				marks[i] = &cells[i]
			}
			for rows.Next() {
				if err := rows.Scan(marks...); err != nil {
					return err
				}
				all[d.table] = append(all[d.table], fmt.Sprint(cells...))
			}
			if err := rows.Close(); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// sameDerived compares all that is derived, and shows the first rows that differ.
func sameDerived(t testing.TB, what string, got, want map[string][]string) {
	t.Helper()
	for _, d := range derivedTables {
		g, w := got[d.table], want[d.table]
		if slices.Equal(g, w) {
			continue
		}
		i := 0
		for i < min(len(g), len(w)) && g[i] == w[i] {
			i++
		}
		t.Errorf("%s: %s has %d rows, want %d; the first that differs is row %d:\ngot  %s\nwant %s",
			what, d.table, len(g), len(w), i, rowAt(g, i), rowAt(w, i))
	}
}

func rowAt(rows []string, i int) string {
	if i < len(rows) {
		return rows[i]
	}
	return "(none)"
}

// checked fails where anything kept is not what is computed.
func checked(t testing.TB, what string, s *models.Store) {
	t.Helper()
	found, err := s.Check(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range found {
		if i == 5 {
			t.Errorf("%s: and %d more", what, len(found)-5)
			break
		}
		t.Errorf("%s: %s", what, d)
	}
}

// exec runs SQL behind the store's back.
func exec(t testing.TB, s *models.Store, statements ...string) {
	t.Helper()
	err := s.InTx(t.Context(), func(tx *models.Tx) error {
		for _, statement := range statements {
			if err := tx.DB.Exec(statement).Error; err != nil {
				return fmt.Errorf("%s: %w", statement, err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
