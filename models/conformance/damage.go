package conformance

import (
	"testing"

	"hulltally/models"
)

// testDamage: whatever is derived and is not as it is computed is found, and a
// rebuild puts it right.
func testDamage(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads, 1000)
	want := derived(t, s)
	const one = " WHERE unit = (SELECT MAX(unit) FROM "
	for _, damage := range []string{
		"DELETE FROM entries WHERE id = (SELECT MIN(id) FROM entries)",
		"UPDATE entries SET at_ms = at_ms + 1 WHERE id = (SELECT MAX(id) FROM entries)",
		"UPDATE reads SET outcome = 'ignored' WHERE id = (SELECT MIN(id) FROM reads WHERE outcome = 'done')",
		"UPDATE reads SET code = 'job' WHERE id = (SELECT MIN(id) FROM reads WHERE outcome = 'done')",
		"DELETE FROM pieces" + one + "pieces)",
		"UPDATE pieces SET base = base + 1" + one + "pieces) AND seq = 0",
		"UPDATE pieces SET worker = '0999'" + one + "pieces) AND seq = 0",
		"DELETE FROM postings" + one + "postings)",
		"UPDATE postings SET amount = amount - 1" + one + "postings) AND seq = 0",
		"UPDATE postings SET unit = 'x/nothing'" + one + "postings)",
		"INSERT INTO postings SELECT 'w/0101/2020-01-06', seq, source, date, period, debit, credit, hull, stage, job, element, purpose, detail, " +
			"seconds, quantity, net, waste, amount FROM postings" + one + "postings) AND seq = 0",
		"UPDATE totals SET amount = amount + 1 WHERE hull = (SELECT MIN(hull) FROM totals)",
		"DELETE FROM fine_totals WHERE job = (SELECT MAX(job) FROM fine_totals)",
		"UPDATE ledger_totals SET amount = amount * 2 WHERE account = 'stock'",
		"DELETE FROM worker_heads WHERE worker = (SELECT MIN(worker) FROM worker_heads)",
		"UPDATE worker_heads SET fold = '{}' WHERE worker = (SELECT MIN(worker) FROM worker_heads)",
		"UPDATE worker_weeks SET pieces = pieces + 1 WHERE worker = (SELECT MIN(worker) FROM worker_weeks)",
		"UPDATE stock_books SET book = '{}'" + one + "stock_books)",
		"UPDATE stock_books SET last_at_ms = 0" + one + "stock_books)",
		"DELETE FROM stock_books" + one + "stock_books)",
		"UPDATE station_heads SET context = '{}' WHERE station = (SELECT MIN(station) FROM station_heads)",
		"DELETE FROM station_heads WHERE station = (SELECT MAX(station) FROM station_heads)",
	} {
		exec(t, s, damage)
		found, err := s.Check(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(found) == 0 {
			t.Errorf("nothing was found after %s", damage)
		}
		if err := s.Rebuild(t.Context()); err != nil {
			t.Fatal(err)
		}
		sameDerived(t, "rebuilt after "+damage, derived(t, s), want)
	}
	checked(t, "rebuilt", s)
	// All at once, with nothing derived left.
	exec(t, s, "DELETE FROM entries", "DELETE FROM pieces", "DELETE FROM postings", "DELETE FROM totals", "DELETE FROM fine_totals",
		"DELETE FROM ledger_totals", "DELETE FROM worker_heads", "DELETE FROM worker_weeks", "DELETE FROM stock_books", "DELETE FROM station_heads")
	if err := s.Rebuild(t.Context()); err != nil {
		t.Fatal(err)
	}
	sameDerived(t, "rebuilt from nothing", derived(t, s), want)
}

// testLostBadge: a badge that is replaced keeps the work that was done with it,
// also the work that only comes to be known later.
func testLostBadge(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	half := len(y.reads) / 2
	scan(t, s, y.reads[:half], 1000)
	before := derived(t, s)
	lost := y.reads[half].At // as the clock stands; stations ahead of it have sent no more yet
	replace := func(worker string) {
		err := s.InTx(t.Context(), func(tx *models.Tx) error {
			_, err := tx.ReplaceCode(t.Context(), "worker", worker, lost)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, worker := range []string{"0101", "0102", "0103"} {
		replace(worker)
	}
	sameDerived(t, "three badges lost", derived(t, s), before)
	checked(t, "three badges lost", s)
	scan(t, s, y.reads[half:], 100)
	checked(t, "lost badges scanned", s)
	after := derived(t, s)
	if err := s.Rebuild(t.Context()); err != nil {
		t.Fatal(err)
	}
	sameDerived(t, "rebuilt after lost badges", derived(t, s), after)
	// Revoked as of an instant before what was recorded: that goes with it.
	lost = y.reads[half/2].At
	replace("0104")
	checked(t, "a badge that was lost long ago", s)
}
