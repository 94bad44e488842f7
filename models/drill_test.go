package models_test

import (
	"testing"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/stock"
	"hulltally/models"
	"hulltally/models/conformance"
)

// What a figure opens adds up to it: now, when the kept books serve, and in the
// middle of the work, when they are computed.
func TestDrillSums(t *testing.T) {
	for name, open := range map[string]func(testing.TB) *models.Store{"sqlite": conformance.SQLite, "postgres": conformance.Postgres} {
		t.Run(name, func(t *testing.T) {
			s := open(t)
			if _, err := s.Load(t.Context(), conformance.Tiny(), models.LoadOptions{Now: conformance.Now, Who: "test"}); err != nil {
				t.Fatal(err)
			}
			for _, at := range []string{"2026-03-10T09:00:00Z", "2026-03-02T12:00:00Z", "2026-03-02T08:10:06Z"} {
				instant, err := costing.ParseInstant(at)
				if err != nil {
					t.Fatal(err)
				}
				err = s.Read(t.Context(), func(tx *models.Tx) error {
					f, err := tx.Figures(t.Context(), instant)
					if err != nil {
						return err
					}
					d := &drill{t, tx, f}
					d.cells()
					d.fine()
					d.labour()
					d.lots()
					return nil
				})
				if err != nil {
					t.Errorf("%s: %v", at, err)
				}
			}
		})
	}
}

type drill struct {
	t  *testing.T
	tx *models.Tx
	f  *models.Figures
}

func (d *drill) postings(q models.PostingQuery) costing.Sums {
	d.t.Helper()
	list, err := d.tx.Postings(d.t.Context(), d.f, q, 0, 0)
	if err != nil {
		d.t.Fatal(err)
	}
	var sum costing.Sums
	for i := range list.Rows {
		p := &list.Rows[i]
		sum = sum.Plus(costing.Sums{Seconds: p.Seconds, Quantity: p.Quantity, Net: p.Net, Waste: p.Waste, Amount: p.Amount})
	}
	if sum != list.Sums || len(list.Rows) != list.Count {
		d.t.Errorf("%v: %d rows come to %v, the list says %d and %v", q, len(list.Rows), sum, list.Count, list.Sums)
	}
	// Page by page it is the same list.
	var paged []costing.Posting
	for offset := 0; offset < list.Count; offset += 2 {
		page, err := d.tx.Postings(d.t.Context(), d.f, q, offset, 2)
		if err != nil {
			d.t.Fatal(err)
		}
		paged = append(paged, page.Rows...)
	}
	for i := range paged {
		if paged[i] != list.Rows[i] {
			d.t.Errorf("%v: posting %d differs by page", q, i)
		}
	}
	if len(paged) != list.Count {
		d.t.Errorf("%v: %d postings on pages, %d in all", q, len(paged), list.Count)
	}
	return sum
}

func (d *drill) cells() {
	seen := 0
	for k, s := range d.f.Totals.Cells {
		seen++
		got := d.postings(models.PostingQuery{Hull: k.Hull, Stage: k.Stage, Element: k.Element, Purpose: k.Purpose, Period: k.Period})
		if got.Amount != s.Amount || got.Seconds != s.Seconds {
			d.t.Errorf("%v opens %v, it says %v", k, got, s)
		}
	}
	if seen == 0 {
		d.t.Errorf("as of %s there is no total at all", d.f.At)
	}
}

func (d *drill) fine() {
	for k, s := range d.f.Totals.Fine {
		if k.Detail == "" {
			continue // an empty detail picks all
		}
		if got := d.postings(models.PostingQuery{Hull: k.Hull, Job: k.Job, Element: k.Element, Detail: k.Detail, Period: k.Period}); got != s {
			d.t.Errorf("%v opens %v, it says %v", k, got, s)
		}
	}
}

func (d *drill) labour() {
	for hull := range d.f.Yard.Hulls {
		days, err := d.tx.LabourDays(d.f, hull, "")
		if err != nil {
			d.t.Fatal(err)
		}
		var seconds int64
		var amount costing.Money
		for _, day := range days {
			seconds += day.Seconds
			amount += day.Amount
		}
		got := d.postings(models.PostingQuery{Hull: hull, Element: costing.Labour})
		if got.Seconds != seconds || got.Amount != amount {
			d.t.Errorf("hull %s: the days come to %d s and %d, the postings to %v", hull, seconds, amount, got)
		}
		for _, day := range days {
			week := models.PostingQuery{Hull: hull, Element: costing.Labour, Week: day.Day.Monday()}
			if d.postings(week).Seconds == 0 && day.Seconds != 0 {
				d.t.Errorf("hull %s: week %s opens nothing", hull, day.Day.Week())
			}
		}
	}
	d.bookings()
}

// bookings: the pieces that an entry opened are what its postings charge.
func (d *drill) bookings() {
	opened := map[string][]clock.Piece{}
	err := d.tx.Pieces(d.f, costing.FromStart, d.f.Day, func(p *clock.Piece) error {
		opened[p.Opened] = append(opened[p.Opened], *p)
		return nil
	})
	if err != nil {
		d.t.Fatal(err)
	}
	for id, pieces := range opened {
		story, err := d.tx.EntryStory(d.t.Context(), d.f, id)
		if err != nil {
			d.t.Errorf("%s: %v", id, err)
			continue
		}
		if len(story.Pieces) != len(pieces) {
			d.t.Errorf("%s opened %d pieces, its story has %d", id, len(pieces), len(story.Pieces))
		}
		made := 0
		for _, r := range story.Reads {
			if r.Made {
				made++
			}
		}
		if !story.Entry.Correction && made != 1 {
			d.t.Errorf("%s has %d raw reads that completed it", id, made)
		}
	}
}

// lots: a lot's movements end in what the books hold, and their charges with
// those of its pool are what the books charged.
func (d *drill) lots() {
	charged := map[stock.Unit]costing.Money{}
	for u, book := range d.f.Books {
		for lot, shelf := range book.Lots {
			story, err := d.tx.LotStory(d.t.Context(), d.f, lot)
			if err != nil {
				d.t.Errorf("lot %s: %v", lot, err)
				continue
			}
			if n := len(story.Movements); n == 0 || story.Movements[n-1].Balance != shelf.Closing() {
				d.t.Errorf("lot %s ends elsewhere than at %s", lot, shelf.Closing())
			}
			for i := range story.Movements {
				if m := &story.Movements[i]; m.Kind != stock.Receipt {
					charged[u] += m.Amount
				} else {
					charged[u] -= m.Amount
				}
			}
			if story.Worth != d.f.Worth(u) {
				d.t.Errorf("lot %s is worth %d by its story, %d by the books", lot, story.Worth, d.f.Worth(u))
			}
		}
		if charged[u] != -d.f.Worth(u) {
			d.t.Errorf("%v: receipts less charges are %d, it is worth %d", u, -charged[u], d.f.Worth(u))
		}
	}
}

// What is not there is said not to be.
func TestDrillOfNothing(t *testing.T) {
	s := conformance.SQLite(t)
	if _, err := s.Load(t.Context(), conformance.Tiny(), models.LoadOptions{Now: conformance.Now, Who: "test"}); err != nil {
		t.Fatal(err)
	}
	err := s.Read(t.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(t.Context(), conformance.Now)
		if err != nil {
			return err
		}
		for what, err := range map[string]error{
			"an entry": second(tx.EntryStory(t.Context(), f, "no such entry")),
			"a lot":    second(tx.LotStory(t.Context(), f, "no such lot")),
			"a worker": second(tx.WorkerWeek(f, "no such worker", 20_000)),
		} {
			if models.KindOf(err) != models.NotFound {
				t.Errorf("%s that is not there gives %v", what, err)
			}
		}
		list, err := tx.Postings(t.Context(), f, models.PostingQuery{Hull: "no such hull"}, 0, 0)
		if err != nil || list.Count != 0 {
			t.Errorf("a hull that is not there opens %v, %v", list, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func second[T any](_ T, err error) error { return err }
