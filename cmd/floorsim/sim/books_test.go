package sim

import (
	"context"
	"path/filepath"
	"testing"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// TestBooksStayNearTheTruth loads the yard into a real store and compares what
// it booked with what really happened.
func TestBooksStayNearTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("loads half a year")
	}
	w, dir := Generate(Default()), t.TempDir()
	if err := w.WriteYard(dir); err != nil {
		t.Fatal(err)
	}
	now := (w.end + 2).At(12*60, w.zone)
	store, err := models.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "yard.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if _, err := store.Load(t.Context(), dir, models.LoadOptions{Now: now, Who: "sim"}); err != nil {
		t.Fatal(err)
	}
	really, booked := map[string]int64{}, map[string]int64{}
	for f := range w.Truth() {
		if f.Kind == "work" {
			really[f.Job] += int64(f.To-f.From) / 1000
		}
	}
	if err := store.Read(t.Context(), func(tx *models.Tx) error { return books(t.Context(), t, tx, now, booked) }); err != nil {
		t.Fatal(err)
	}
	var off, all int64
	for job, s := range really {
		off += max(s-booked[job], booked[job]-s)
		all += s
	}
	t.Logf("booked on the wrong job, or not at all: %d of %d h", off/3600, all/3600)
	if off*100 > all*4 {
		t.Errorf("books are %d h from the truth of %d h", off/3600, all/3600)
	}
}

func books(ctx context.Context, t *testing.T, tx *models.Tx, now costing.Instant, booked map[string]int64) error {
	f, err := tx.Figures(ctx, now)
	if err != nil {
		return err
	}
	c, err := f.Cost()
	if err != nil {
		return err
	}
	for _, m := range c.Margins {
		t.Logf("%s margin at completion %d of %d", m.Hull, m.Margin/100, (m.Price+m.Changes)/100)
		if (m.Margin < 0) != (m.Hull == "H203") {
			t.Errorf("%s has a margin of %d: only H203 should lose", m.Hull, m.Margin/100)
		}
	}
	return tx.Pieces(f, f.Day-400, f.Day, func(p *clock.Piece) error {
		booked[p.Job+p.Indirect] += p.Seconds
		return nil
	})
}
