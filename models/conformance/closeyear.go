package conformance

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

// closedYear is a simulated yard that is played month by month, with facts held
// back until the month they belong to is closed.
type closedYear struct {
	yard   folder // documents that were known in time
	late   folder // those that weren't, row by row under each header
	reads  []models.ReadRow
	months []costing.Period
}

// yearOf makes a yard of a few people and many mishaps.
func yearOf(t testing.TB, months int) closedYear {
	c := sim.Default()
	c.Start, c.People, c.Months, c.Hulls = costing.NewDate(2025, time.May, 5), 6, months, 2
	r := &c.Rates
	for _, mishap := range []*int{&r.ForgottenOff, &r.ForgottenOn, &r.WrongUnnoticed, &r.Return, &r.OverIssue, &r.Sunday} {
		*mishap *= 4
	}
	dir := t.TempDir()
	require.NoError(t, sim.Generate(c).WriteYard(dir))
	y := closedYear{yard: readFolder(t, dir), late: folder{}}
	var err error
	y.reads, err = models.ParseReads([]byte(y.yard["reads.csv"]))
	require.NoError(t, err)
	slices.SortStableFunc(y.reads, func(a, b models.ReadRow) int { return int(a.At - b.At) })
	y.yard = y.yard.with("reads.csv", "")
	for _, file := range []string{"corrections.csv", "invoices.csv", "counts.csv"} {
		lines := strings.SplitAfter(y.yard[file], "\n")
		var known, late strings.Builder
		known.WriteString(lines[0])
		late.WriteString(lines[0])
		for i, line := range lines[1:] {
			if i%2 == 0 {
				known.WriteString(line)
			} else {
				late.WriteString(line)
			}
		}
		y.yard[file], y.late[file] = known.String(), late.String()
	}
	p := c.Start.Period() - 2 // its first stock came before it began
	for range months + 2 {
		y.months = append(y.months, p)
		p = p.Next()
	}
	return y
}

// testClosedYear closes a year month by month while late reads, corrections,
// invoices, counts, rates and purchases of closed months come in. Closed
// figures never move, the ties hold each month, and all months together come to
// what a yard has that never closed, to the cent.
func testClosedYear(t *testing.T, open func(t testing.TB) *models.Store) {
	months := 12
	if testing.Short() {
		months = 3
	}
	y := yearOf(t, months)
	s, never := open(t), open(t)
	for _, store := range []*models.Store{s, never} {
		load(t, store, y.yard.write(t))
	}
	zone, err := time.LoadLocation("Europe/Lisbon")
	require.NoError(t, err)
	var held []models.ReadRow
	signed := map[costing.Period]string{}
	adjusted := 0
	for i, p := range y.months {
		end := p.Next().First().At(0, zone)
		var now []models.ReadRow
		for j, r := range y.reads {
			if r.At >= p.First().At(0, zone) && (r.At < end || i == len(y.months)-1) {
				if j%61 < 3 {
					held = append(held, r)
				} else {
					now = append(now, r)
				}
			}
		}
		at := end + 5*24*3_600_000
		_, err := s.Scan(t.Context(), now, at, nil)
		require.NoError(t, err)
		closing, err := s.CloseMonth(t.Context(), p, models.CloseOptions{Now: at, Who: "Bookkeeper"})
		require.NoError(t, err)
		require.Positive(t, closing.Lines)
		for _, tie := range closing.Ties {
			assert.Equal(t, tie.Left, tie.Right, "tie of %s at the end of %s", tie.Name, p)
		}
		signed[p] = bookedIn(t, s, p)
		// What comes too late for the month.
		_, err = s.Scan(t.Context(), held, at+1000, nil)
		require.NoError(t, err)
		held = nil
		enterLate(t, s, y, p, at)
		for _, q := range slices.Sorted(maps.Keys(signed)) {
			require.Equal(t, signed[q], bookedIn(t, s, q), "%s after the close of %s", q, p)
		}
		adjusted += len(query(t, s, "SELECT hull, stage, element, purpose, seconds, amount FROM adjustments"))
		if i%4 == 3 || i == len(y.months)-1 {
			checked(t, "after "+p.String(), s)
		}
	}
	require.Greater(t, adjusted, months, "too little came late")
	_, err = never.Scan(t.Context(), y.reads, received, nil)
	require.NoError(t, err)
	for _, p := range y.months {
		enterLate(t, never, y, p, received)
	}
	assert.Equal(t, allTogether(t, never), allTogether(t, s), "all months together")
	againstAdjust(t, s)
	replayed(t, open, s)
	reopened(t, s, y.months[len(y.months)-1])
}

// enterLate enters what belongs to a month and before, and wasn't known in time.
func enterLate(t testing.TB, s *models.Store, y closedYear, p costing.Period, at costing.Instant) {
	t.Helper()
	last := p.Next().First().String()
	files := folder{}
	for file, text := range y.late {
		files[file] = filterCSV(t, text, func(cell func(string) string) bool { return cell("at") < last })
	}
	worker := strings.Split(y.yard["workers.csv"], "\n")[1]
	number, _, _ := strings.Cut(worker, ",")
	files["rates.csv"] = fmt.Sprintf("worker,from,rate\n%s,%s,%d.37\n", number, p.First()+9, 15+int(p%7))
	files["bought.csv"] = fmt.Sprintf("document,date,hull,stage,description,amount\nLATE-%s,%s,%s,SYS,Pump,100.01\n", p, p.First()+3, hullOf(y))
	_, err := s.Enter(t.Context(), texts(files), models.LoadOptions{Now: at, Who: "Office"})
	require.NoError(t, err)
}

func hullOf(y closedYear) string {
	hull, _, _ := strings.Cut(strings.Split(y.yard["hulls.csv"], "\n")[1], ",")
	return hull
}

func texts(f folder) map[string][]byte {
	m := map[string][]byte{}
	for name, text := range f {
		m[name] = []byte(text)
	}
	return m
}

// bookedIn is all that is booked in a month, as text.
func bookedIn(t testing.TB, s *models.Store, p costing.Period) string {
	t.Helper()
	var b strings.Builder
	for _, table := range []string{
		"SELECT hull, stage, element, purpose, seconds, amount FROM totals WHERE period = %d",
		"SELECT hull, job, element, detail, seconds, amount FROM fine_totals WHERE period = %d",
		"SELECT account, '', '', '', 0, amount FROM ledger_totals WHERE period = %d",
		"SELECT source, debit, credit, job, seconds, amount FROM frozen WHERE period = %d",
	} {
		fmt.Fprintln(&b, strings.Join(query(t, s, fmt.Sprintf(table, p)), "\n"))
	}
	return b.String()
}

// allTogether is every total over all months.
func allTogether(t testing.TB, s *models.Store) string {
	t.Helper()
	big := func(column string) string { return "CAST(SUM(" + column + ") AS BIGINT)" }
	var b strings.Builder
	for _, text := range []string{
		"SELECT hull, stage, element, purpose, " + big("seconds") + ", " + big("amount") + " FROM totals GROUP BY hull, stage, element, purpose",
		"SELECT hull, job, element, detail, " + big("seconds + quantity * 3 + net * 7 + waste * 11") + ", " + big("amount") +
			" FROM fine_totals GROUP BY hull, job, element, detail",
		"SELECT account, '', '', '', 0, " + big("amount") + " FROM ledger_totals GROUP BY account",
	} {
		fmt.Fprintln(&b, strings.Join(query(t, s, text), "\n"))
	}
	return b.String()
}

// againstAdjust reckons the adjustments by the rule itself, from all postings
// in memory.
func againstAdjust(t testing.TB, s *models.Store) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) error {
		closed, err := tx.ClosedThrough()
		require.NoError(t, err)
		computed, frozen, kept, err := tx.BookLines(t.Context())
		require.NoError(t, err)
		_, want := costing.Adjust(closed, frozen, computed)
		require.NotEmpty(t, want)
		assert.Equal(t, want, kept)
		return nil
	})
	require.NoError(t, err)
}

// replayed: a dump loads to the same books, frozen and open.
func replayed(t testing.TB, open func(t testing.TB) *models.Store, s *models.Store) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, s.Dump(t.Context(), dir))
	other := open(t)
	load(t, other, dir)
	checked(t, "a dump with closes", other)
	require.NoError(t, s.Rebuild(t.Context()))
	checked(t, "rebuilt with closes", s)
	want, got := derived(t, s), derived(t, other)
	for _, table := range []string{"postings", "totals", "fine_totals", "ledger_totals", "pieces"} {
		assert.Equal(t, want[table], got[table], table)
	}
	text := "SELECT source, debit, credit, job, seconds, amount FROM adjustments"
	assert.Equal(t, query(t, s, text), query(t, other, text))
	again := dump(t, other)
	for _, file := range []string{"closes.csv", "frozen.csv", "frozen_pay.csv", "signed.csv"} {
		assert.Equal(t, dump(t, s)[file], again[file], file)
	}
}

// reopened: two people open the latest month again, and what comes of it is as
// if it had never been closed; closed again it holds again.
func reopened(t testing.TB, s *models.Store, p costing.Period) {
	t.Helper()
	before := allTogether(t, s)
	at := mustInstant("2027-01-01T00:00:00Z")
	ask := func(who string) (bool, error) {
		at++
		return s.AskReopen(t.Context(), p, models.CloseOptions{Now: at, Who: who, Why: "an invoice was left out"})
	}
	opened, err := ask("Bookkeeper")
	require.NoError(t, err)
	require.False(t, opened, "one person opened it")
	_, err = ask("Bookkeeper")
	require.Error(t, err, "the same person twice")
	opened, err = ask("Owner")
	require.NoError(t, err)
	require.True(t, opened)
	checked(t, "opened again", s)
	assert.Equal(t, before, allTogether(t, s))
	_, err = s.CloseMonth(t.Context(), p, models.CloseOptions{Now: at + 10, Who: "Bookkeeper"})
	require.NoError(t, err)
	checked(t, "closed again", s)
	assert.Equal(t, before, allTogether(t, s))
	_, err = s.CloseMonth(t.Context(), p, models.CloseOptions{Now: at + 20, Who: "Bookkeeper"})
	require.ErrorContains(t, err, "closed already")
}
