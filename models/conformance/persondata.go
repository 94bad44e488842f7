package conformance

import (
	"strings"
	"testing"

	"hulltally/models"
)

// testRemovedName: a leaver's name is nowhere in the yard's own data any more,
// while every hour and cent stays under the number.
func testRemovedName(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads, 1000)
	record := func(number string) (r *models.WorkerRecord) {
		t.Helper()
		err := s.Read(t.Context(), func(tx *models.Tx) error {
			f, err := tx.Figures(t.Context(), received)
			if err != nil {
				return err
			}
			r, err = tx.WorkerRecord(t.Context(), f, number)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	var number string
	var workers []models.WorkerRow
	err := s.Read(t.Context(), func(tx *models.Tx) error { return tx.DB.Order("number").Find(&workers).Error })
	if err != nil || len(workers) == 0 {
		t.Fatal(err)
	}
	number = workers[0].Number
	was := record(number)
	if was.Left || was.Name != workers[0].Name || len(was.Weeks) == 0 || was.Reads == 0 {
		t.Fatalf("the record says %+v", was)
	}
	if err := s.RemoveName(t.Context(), number, models.Deed{Who: "owner", At: received}); err != nil {
		t.Fatal(err)
	}
	is := record(number)
	if !is.Left || len(is.Weeks) != len(was.Weeks) || is.Weeks[0] != was.Weeks[0] || is.Reads != was.Reads || is.Entries != was.Entries {
		t.Errorf("after the removal the record says %+v, before %+v", is, was)
	}
	for _, c := range is.Codes {
		if c.RevokedMs == nil {
			t.Errorf("badge %s is still in force", c.Payload)
		}
	}
	var history []models.HistoryRow
	if err := s.Read(t.Context(), func(tx *models.Tx) error { return tx.DB.Table("history").Find(&history).Error }); err != nil {
		t.Fatal(err)
	}
	for _, h := range history {
		if strings.Contains(h.Before+h.After, was.Name) {
			t.Errorf("the history still names %s: %+v", was.Name, h)
		}
	}
	differences, err := s.Check(t.Context(), nil)
	if err != nil || len(differences) > 0 {
		t.Errorf("after the removal: %v, %v", differences, err)
	}
	if err := s.RemoveName(t.Context(), number, models.Deed{Who: "owner", At: received}); models.KindOf(err) != models.Conflict {
		t.Errorf("removing twice: %v", err)
	}
	if err := s.RemoveName(t.Context(), "nobody", models.Deed{Who: "owner", At: received}); models.KindOf(err) != models.NotFound {
		t.Errorf("removing nobody's name: %v", err)
	}
}
