package models

import (
	"context"
	"slices"
	"strings"

	"hulltally/costing"
)

// Adjusted is an adjustment with what it adjusts.
type Adjusted struct {
	costing.Posting
	Of      costing.Period // the month adjusted, where it is known
	Was, Is costing.Money  // frozen, and as it was known when the month was closed or is known now
	About   string
}

// Adjusted lists the adjustments that a month bears: of a closed one those it
// was closed with, of the first open one those there are now.
func (tx *Tx) Adjusted(ctx context.Context, f *Figures, p costing.Period) ([]Adjusted, error) {
	closes := f.Closes
	if p == 0 {
		p = f.Closed.Next()
	}
	var list []costing.Posting
	var err error
	switch at := slices.IndexFunc(closes, func(c costing.Close) bool { return c.Period == p }); {
	case at >= 0:
		if list, err = tx.frozenLines(ctx, "kind = 'adjustment' AND closed_ms = ?", closes[at].At); err != nil {
			return nil, err
		}
		closes = closes[:at]
	case len(closes) > 0 && p == f.Closed.Next():
		if list, err = tx.adjustmentsNow(ctx, f); err != nil {
			return nil, err
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	return tx.explain(ctx, closes, list)
}

// adjustmentsNow are the kept adjustments with what bookings that nobody has
// ended come to in closed months.
func (tx *Tx) adjustmentsNow(ctx context.Context, f *Figures) ([]costing.Posting, error) {
	running, err := weekPostings(f.Yard, f.Running)
	if err != nil {
		return nil, err
	}
	a := costing.Adjustments{}
	for i := range running {
		if p := &running[i]; p.Period() <= f.Closed {
			a.Count(p, 1)
		}
	}
	kept, err := tx.adjustments(ctx)
	if err != nil {
		return nil, err
	}
	for i := range kept {
		a.Count(&kept[i], 1)
	}
	list := a.Sorted()
	for i := range list {
		list[i] = list[i].Booked(f.Closed)
	}
	return list, nil
}

func (tx *Tx) explain(ctx context.Context, closes []costing.Close, list []costing.Posting) ([]Adjusted, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	var sources []string
	for i := range list {
		sources = append(sources, list[i].Source)
	}
	slices.Sort(sources)
	sources = slices.Compact(sources)
	was, of := costing.Adjustments{}, map[string]costing.Period{}
	received := map[string]costing.Instant{}
	for part := range slices.Chunk(sources, 500) {
		err := tx.eachLine(ctx, "SELECT "+postingSelect+" FROM frozen WHERE source IN ? AND "+inForce(closes), []any{part}, func(p *costing.Posting) error {
			was.Count(p, 1)
			if have := of[p.Source]; have == 0 || p.Period() < have {
				of[p.Source] = p.Period()
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		var rows []struct {
			ID         string
			AtMs       costing.Instant
			ReceivedMs costing.Instant
		}
		if err := tx.DB.WithContext(ctx).Raw("SELECT id, at_ms, received_ms FROM reads WHERE id IN ?", part).Scan(&rows).Error; err != nil {
			return nil, err
		}
		for _, r := range rows {
			received[r.ID] = r.ReceivedMs
			if of[r.ID] == 0 {
				of[r.ID] = costing.DateOf(r.AtMs, snap.Yard.Zone).Period()
			}
		}
	}
	all := make([]Adjusted, len(list))
	for i := range list {
		p := &list[i]
		all[i] = Adjusted{Posting: *p, Of: of[p.Source], About: tx.about(snap, p, closes, received)}
		all[i].Was = was.Of(p).Amount
		all[i].Is = all[i].Was + p.Amount
	}
	return all, nil
}

// about says what an adjustment came of.
func (tx *Tx) about(snap *Snapshot, p *costing.Posting, closes []costing.Close, received map[string]costing.Instant) string {
	if at, read := received[p.Source]; read {
		if n := len(closes); n > 0 && at > closes[n-1].At {
			return "scanned, and received " + costing.DateOf(at, snap.Yard.Zone).String()
		}
		return "a booking or issue that was costed again"
	}
	if strings.HasPrefix(p.Source, "correction ") {
		return "a correction"
	}
	if strings.HasPrefix(p.Source, "bought ") {
		return "a purchase line"
	}
	if p.Debit == costing.Stock {
		return "what a lot cost"
	}
	return "a stock count"
}
