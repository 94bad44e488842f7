package sim

import (
	"context"
	"path/filepath"
	"strings"
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
	if err := store.Read(t.Context(), func(tx *models.Tx) error {
		stockNearTruth(t.Context(), t, w, tx, now)
		return margins(t.Context(), t, tx, now, booked)
	}); err != nil {
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

func margins(ctx context.Context, t *testing.T, tx *models.Tx, now costing.Instant, booked map[string]int64) error {
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

// stockNearTruth: before counts the books are off by what nobody scanned and by
// factors; after them by what a delivery's label was off (0.4 % at most) and by
// the tenth that counts are written to. Which job forgot to scan no count
// can know: its draw is spread over the jobs that drew since, so jobs come no nearer.
func stockNearTruth(ctx context.Context, t *testing.T, w *World, tx *models.Tx, now costing.Instant) {
	list, err := w.CompareStock(ctx, tx, now)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	if err := WriteStockErrors(&text, list); err != nil {
		t.Fatal(err)
	}
	t.Logf("books less truth, to the last count of each lot:\n%s", &text)
	var before, after, jobBefore, jobAfter int64
	for i := range list {
		e := &list[i]
		before += e.PartOf(e.Before)
		after += e.PartOf(e.After)
		var received int64
		for _, l := range w.Lots {
			if l.Item == e.Item {
				received += int64(l.Quantity)
			}
		}
		if bound := received*4/1000 + int64(e.Lots)*million/20; int64(max(e.After, -e.After)) > bound {
			t.Errorf("%s is off by %s after counts, more than %s", e.Item, e.After, costing.Quantity(bound))
		}
		if e.Factored {
			jobBefore += e.PartOf(e.JobBefore)
			jobAfter += e.PartOf(e.JobAfter)
		} else if e.JobAfter != e.JobBefore {
			t.Errorf("%s is measured, and yet its counts moved cost between jobs", e.Item)
		}
	}
	n := int64(len(list))
	t.Logf("on average %d before and %d after, in ten-thousandths of what was used; by job of factored items %d and %d", before/n, after/n, jobBefore, jobAfter)
	if n < 30 || after*3 > before || jobAfter > jobBefore*5/4 {
		t.Errorf("counts of %d items brought the books from %d to %d off, jobs of factored ones from %d to %d", n, before, after, jobBefore, jobAfter)
	}
}
