package conformance

import (
	"slices"
	"strings"
	"testing"

	"hulltally/costing/clock"
	"hulltally/models"
)

// testSameReadTwice: a read is known by its id, however often and wherever it comes.
func testSameReadTwice(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	y := smallYard(t)
	load(t, s, y.yard.write(t))
	reads := y.reads[:200]
	first, err := s.Scan(t.Context(), reads, received, nil)
	if err != nil {
		t.Fatal(err)
	}
	before := derived(t, s)
	if first.Known != 0 || len(before["reads"]) != len(reads) {
		t.Fatalf("%d of %d reads were known, %d are stored", first.Known, len(reads), len(before["reads"]))
	}
	for _, outcome := range []clock.Outcome{clock.DidIt, clock.Waiting, clock.Ignored, clock.Refused} {
		if first.Outcomes[outcome] == 0 {
			t.Errorf("no read came out %s: the yard says too little", outcome)
		}
	}
	again, err := s.Scan(t.Context(), reads, received+1, nil)
	if err != nil || again.Known != len(reads) {
		t.Fatalf("the same batch again: %d known, %v", again.Known, err)
	}
	for outcome, n := range first.Outcomes {
		if again.Outcomes[outcome] != n {
			t.Errorf("%d reads came out %s, at first %d", again.Outcomes[outcome], outcome, n)
		}
	}
	sameDerived(t, "the same batch twice", derived(t, s), before)

	// Twice within one batch, once in capitals: UUIDs are the same in either.
	twice := slices.Clone(y.reads[200:260])
	for _, r := range y.reads[200:260] {
		r.ID = strings.ToUpper(r.ID)
		twice = append(twice, r)
	}
	n, err := s.Scan(t.Context(), twice, received, nil)
	if err != nil || n.Known != 60 {
		t.Errorf("60 reads twice in one batch: %d known, %v", n.Known, err)
	}
	checked(t, "twice in one batch", s)
	other := open(t)
	load(t, other, y.yard.write(t))
	scan(t, other, y.reads[:260], 1000)
	sameDerived(t, "twice in one batch", derived(t, s), derived(t, other))
}

// testArrival: what is derived does not depend on the order in which reads,
// counts, corrections and invoices come to be known.
func testArrival(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	late := y.yard.with("counts.csv", "", "corrections.csv", "", "invoices.csv", "")
	documents := folder{
		"counts.csv": y.yard["counts.csv"], "corrections.csv": y.yard["corrections.csv"], "invoices.csv": y.yard["invoices.csv"],
	}
	all := open(t)
	load(t, all, y.yard.write(t))
	scan(t, all, y.reads, 1000)
	checked(t, "in order", all)
	want := derived(t, all)
	for _, table := range derivedTables {
		if len(want[table.table]) == 0 {
			t.Errorf("the yard leaves %s empty", table.table)
		}
	}
	backwards := slices.Clone(y.reads)
	slices.Reverse(backwards)
	half := len(y.reads) / 2
	for _, order := range []struct {
		name string
		play func(s *models.Store)
	}{
		{"one by one", func(s *models.Store) {
			load(t, s, y.yard.write(t))
			scan(t, s, y.reads[:60], 1)
			scan(t, s, y.reads[60:], 40)
		}},
		{"backwards, documents last", func(s *models.Store) {
			load(t, s, late.write(t))
			scan(t, s, backwards, 37)
			load(t, s, documents.write(t))
		}},
		{"shuffled, documents midway", func(s *models.Store) {
			load(t, s, late.write(t))
			mixed := shuffled(y.reads, 7)
			scan(t, s, mixed[:half], 29)
			load(t, s, documents.write(t))
			checked(t, "midway", s)
			scan(t, s, mixed[half:], 11)
		}},
		{"shuffled at once", func(s *models.Store) {
			load(t, s, y.yard.write(t))
			scan(t, s, shuffled(y.reads, 8), 1000)
		}},
		{"before the yard is known", func(s *models.Store) {
			load(t, s, folder{"policy.csv": y.yard["policy.csv"], "codes.csv": wallCodes(y.yard["codes.csv"])}.write(t))
			scan(t, s, shuffled(y.reads, 9), 200)
			load(t, s, y.yard.write(t))
		}},
		{"the second half first", func(s *models.Store) {
			load(t, s, y.yard.write(t))
			scan(t, s, y.reads[half:], 100)
			scan(t, s, y.reads[:half], 100)
		}},
	} {
		s := open(t)
		order.play(s)
		sameDerived(t, order.name, derived(t, s), want)
		checked(t, order.name, s)
	}
}

// wallCodes keeps the cards that hang by every station: they are issued when
// the yard begins.
func wallCodes(codes string) string {
	var kept strings.Builder
	for line := range strings.Lines(codes) {
		kind, _, _ := strings.Cut(line, ",")
		if !slices.Contains([]string{"worker", "crew", "job", "lot", "indirect"}, kind) {
			kept.WriteString(line)
		}
	}
	return kept.String()
}
