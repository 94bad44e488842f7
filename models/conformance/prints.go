package conformance

import (
	"slices"
	"strings"
	"testing"

	"hulltally/labels"
	"hulltally/models"
)

func fill(t testing.TB, s *models.Store, ask models.PrintAsk) (run *models.PrintRun, err error) {
	t.Helper()
	ask.Now = Now
	err = s.Read(t.Context(), func(tx *models.Tx) (err error) {
		run, err = tx.PrintSheet(t.Context(), ask)
		return err
	})
	return run, err
}

// testPrints: sheets hold what is asked for, with the words the yard entered;
// a revoked code is on none, and what is printed is counted and noted.
func testPrints(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	for _, c := range []struct {
		ask  models.PrintAsk
		keys string
	}{
		{models.PrintAsk{Kind: labels.SheetBadges}, "101 102 103"},
		{models.PrintAsk{Kind: labels.SheetBadges, Text: "quill"}, "103"},
		{models.PrintAsk{Kind: labels.SheetCrews, Keys: []string{"C2"}}, "C2"},
		{models.PrintAsk{Kind: labels.SheetJobs, Hull: "H1", Stage: "LAM"}, "J1 J2"},
		{models.PrintAsk{Kind: labels.SheetStage, Hull: "H1", Stage: "LAM"}, "J1 J2"},
		{models.PrintAsk{Kind: labels.SheetLots, Text: "resin"}, "L2"},
		{models.PrintAsk{Kind: labels.SheetIndirects}, "CLEAN WAIT"},
		{models.PrintAsk{Kind: labels.SheetWall, Keys: []string{"off"}}, "off done progress 25 progress 50 progress 75 return waste scrap undo cancel " +
			"check vacuum check leak check temperature check humidity problem problem leak problem dry_spot problem damage " +
			"problem missing problem waiting problem unsafe problem idea"},
	} {
		run, err := fill(t, s, c.ask)
		if err != nil || strings.Join(run.Keys, " ") != c.keys {
			t.Errorf("%+v gave %+v, %v, want %s", c.ask, run, err, c.keys)
		}
	}
	run, err := fill(t, s, models.PrintAsk{Kind: labels.SheetLots, Keys: []string{"L2"}})
	if err != nil || run.Lots[0].Hazard == nil || run.Lots[0].Hazard.Signal != "Warning" || len(run.Lots[0].Hazard.Statements) != 2 {
		t.Errorf("the label of a resin is %+v, %v", run, err)
	}
	run, err = fill(t, s, models.PrintAsk{Kind: labels.SheetJobs, Keys: []string{"J1"}})
	if err != nil || len(run.Jobs[0].Cautions) != 2 {
		t.Fatalf("the card of a job is %+v, %v", run, err)
	}
	for _, c := range []struct {
		ask  models.PrintAsk
		kind models.Kind
		want string
	}{
		{models.PrintAsk{Kind: labels.SheetJobs, Keys: []string{"J1", "J99"}}, models.NotFound, "no job J99"},
		{models.PrintAsk{Kind: labels.SheetBadges, Text: "nobody"}, models.NotFound, "nothing is selected"},
		{models.PrintAsk{Kind: labels.SheetStage, Hull: "H1"}, models.NotFound, "needs a hull and a stage"},
		{models.PrintAsk{Kind: "poster"}, models.Invalid, "not a kind of sheet"},
	} {
		if _, err := fill(t, s, c.ask); models.KindOf(err) != c.kind || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v gave %v, want %s", c.ask, err, c.want)
		}
	}

	by := models.Deed{Who: "Stores", Source: "test", At: Now + 1000}
	for n := range 2 {
		if run, err = fill(t, s, models.PrintAsk{Kind: labels.SheetBadges}); err != nil || run.Badges[0].Reprint != n {
			t.Fatalf("after %d prints the badge says %d, %v", n, run.Badges[0].Reprint, err)
		}
		if err := s.Printed(t.Context(), run, by, nil); err != nil {
			t.Fatal(err)
		}
	}
	log, err := s.Logbook(t.Context(), models.LogbookAsk{Words: "printed badges 101", Limit: 9})
	if err != nil || len(log) != 2 {
		t.Errorf("the logbook has %+v, %v", log, err)
	}
	// Lost between the filling of the sheet and its printing.
	lost := run.Badges[2].Payload
	if _, err := s.RevokeCode(t.Context(), lost, false, by); err != nil {
		t.Fatal(err)
	}
	if err := s.Printed(t.Context(), run, by, func() error { t.Error("it was handed over"); return nil }); models.KindOf(err) != models.Conflict {
		t.Errorf("printing a code that was just revoked gave %v", err)
	}
	run, err = fill(t, s, models.PrintAsk{Kind: labels.SheetBadges})
	if err != nil || slices.Contains(run.Payloads(), lost) || !slices.Equal(run.Left, []string{"103"}) {
		t.Errorf("without the lost one: %+v, %v", run, err)
	}
	if _, err = fill(t, s, models.PrintAsk{Kind: labels.SheetBadges, Keys: []string{"103"}}); models.KindOf(err) != models.Conflict || !strings.Contains(err.Error(), "revoked") {
		t.Errorf("the lost one by name: %v", err)
	}
	if _, err := s.RevokeCode(t.Context(), lost, true, by); err != nil {
		t.Fatal(err)
	}
	if run, err = fill(t, s, models.PrintAsk{Kind: labels.SheetBadges, Keys: []string{"103"}}); err != nil || run.Badges[0].Payload == lost || run.Badges[0].Reprint != 0 {
		t.Errorf("the new one: %+v, %v", run, err)
	}
}
