package conformance

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"hulltally/models"
)

func testFresh(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	current, latest, err := s.MigrationVersion(t.Context())
	if err != nil || current != latest || current == 0 {
		t.Errorf("MigrationVersion = %d, %d, %v, want the latest", current, latest, err)
	}
	if err := s.Ping(t.Context()); err != nil {
		t.Error(err)
	}
}

func version(t testing.TB, s *models.Store) (v int64) {
	t.Helper()
	if err := s.Read(t.Context(), func(tx *models.Tx) error { v = tx.Version; return nil }); err != nil {
		t.Fatal(err)
	}
	return v
}

func testTransactions(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	boom := errors.New("boom")
	err := s.InTx(t.Context(), func(tx *models.Tx) error {
		if err := tx.Bump(); err != nil {
			return err
		}
		return boom
	})
	if !errors.Is(err, boom) || version(t, s) != 0 {
		t.Errorf("a failed transaction gave %v and version %d", err, version(t, s))
	}
	err = s.InTx(t.Context(), func(tx *models.Tx) error { return errors.Join(tx.Bump(), tx.Bump()) })
	if err != nil || version(t, s) != 1 {
		t.Errorf("two bumps in a transaction gave %v and version %d, want 1", err, version(t, s))
	}
	if err := s.Read(t.Context(), func(tx *models.Tx) error { return tx.Bump() }); err == nil {
		t.Error("a reading transaction wrote")
	}
}

func testWriters(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	const writers, rounds = 6, 10
	var all sync.WaitGroup
	for range writers {
		all.Go(func() {
			for range rounds {
				if err := s.InTx(t.Context(), func(tx *models.Tx) error { return tx.Bump() }); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if v := version(t, s); v != writers*rounds {
		t.Errorf("version %d after %d bumps", v, writers*rounds)
	}
}

func testIdempotence(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	first := load(t, s, Tiny())
	before := dump(t, s)
	again := load(t, s, Tiny())
	if again.Version != first.Version || again.Issued != 0 {
		t.Errorf("the second load gave version %d (first %d) and %d codes", again.Version, first.Version, again.Issued)
	}
	for name, n := range again.Files {
		if n.Added+n.Changed != 0 || n.Unchanged != first.Files[name].Added {
			t.Errorf("%s: the second load gave %+v, the first %+v", name, n, first.Files[name])
		}
	}
	sameFolder(t, dump(t, s), before)
}

func testChange(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	tiny := readFolder(t, Tiny())
	changed := folder{"lots.csv": strings.Replace(tiny["lots.csv"], "400,LTR,2260", "400,LTR,2255", 1) +
		"L7,FILM,2026-03-01T10:05:00Z,400,,190,,,,,,\n"}
	report := load(t, s, changed.write(t))
	if got, want := report.Files["lots.csv"], (models.Counts{Added: 1, Changed: 1, Unchanged: 5}); got != want || report.Issued != 1 {
		t.Errorf("the load gave %+v and %d codes, want %+v and 1", got, report.Issued, want)
	}
	if got := dump(t, s)["lots.csv"]; !strings.Contains(got, ",400,LTR,2255,USD,") || !strings.Contains(got, "\nL7,FILM,") {
		t.Errorf("the lots are now\n%s", got)
	}
}

func testHistory(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	last := history(t, s)
	f := folder{"crews.csv": "name,crew\nHull moulds,C1\nFitting out,C2\nPaint shop,C3\n"}
	load(t, s, f.write(t))
	var got []string
	for _, h := range history(t, s)[len(last):] {
		got = append(got, fmt.Sprintf("%d %s %s %s %s → %s", h.AtMs, h.Who, h.File, h.RowKey, h.Before, h.After))
	}
	at := int64(Now)
	want := []string{
		fmt.Sprintf(`%d test crews.csv C1 {"crew":"C1","name":"Hull mould"} → {"crew":"C1","name":"Hull moulds"}`, at),
		fmt.Sprintf(`%d test crews.csv C3  → {"crew":"C3","name":"Paint shop"}`, at),
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("history:\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func history(t testing.TB, s *models.Store) (rows []models.HistoryRow) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) error { return tx.DB.Table("history").Order("seq").Find(&rows).Error })
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func testRoundTrip(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	first := dump(t, s)
	other := open(t)
	report := load(t, other, first.write(t))
	if report.Issued != 0 {
		t.Errorf("a dump has all codes, yet %d were issued", report.Issued)
	}
	sameFolder(t, dump(t, other), first)
	if again := load(t, s, first.write(t)); again.Version != version(t, other) {
		t.Errorf("loading a dump where it came from gave version %d", again.Version)
	}
}

func sameFolder(t testing.TB, got, want folder) {
	t.Helper()
	for name, text := range want {
		if got[name] != text {
			t.Errorf("%s is\n%s\nwant\n%s", name, got[name], text)
		}
	}
}

func testAllOrNothing(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	before, old := dump(t, s), version(t, s)
	f := folder{
		"crews.csv": "crew,name\nC1,Renamed\nC9,New\n",
		"rates.csv": "worker,from,rate\n101,2026-09-01,20\n999,2026-09-01,20\n",
	}
	var problems *models.Problems
	if _, err := s.Load(t.Context(), f.write(t), models.LoadOptions{Now: Now}); !errors.As(err, &problems) {
		t.Fatalf("Load gave %v", err)
	}
	if len(problems.List) != 1 || version(t, s) != old {
		t.Errorf("problems %v, version %d, want one problem and version %d", problems, version(t, s), old)
	}
	sameFolder(t, dump(t, s), before)
}
