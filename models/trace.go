package models

import (
	"context"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recall"
	"hulltally/costing/stock"
)

// TraceLots follows a lot, or every lot of a supplier's batch, to where it went.
func (tx *Tx) TraceLots(ctx context.Context, f *Figures, batch, lot string) ([]recall.Row, error) {
	lots := lotsOf(f.Yard, batch, lot)
	if len(lots) == 0 {
		if lot != "" {
			return nil, Errorf(NotFound, "there is no lot %.60q", lot)
		}
		return nil, Errorf(NotFound, "no lot bears the supplier's batch %.60q: look at the label, or ask by lot", batch)
	}
	slices.Sort(lots)
	var charges []stock.Charge
	left := map[string]costing.Quantity{}
	var ids []costing.Posting
	for _, key := range lots {
		story, err := tx.LotStory(ctx, f, key)
		if err != nil {
			return nil, err
		}
		for i := range story.Movements {
			m := &story.Movements[i]
			charges = append(charges, m.Charge)
			ids = append(ids, costing.Posting{Source: m.Source})
			left[key] = m.Balance
		}
	}
	entries, err := tx.entriesBehind(ids)
	if err != nil {
		return nil, err
	}
	var moves []recall.Move
	for i := range charges {
		if moves, err = appendMoves(moves, f.Yard, &charges[i], entries[charges[i].Source]); err != nil {
			return nil, err
		}
	}
	return recall.Rows(f.Yard, moves, left), nil
}

// appendMoves divides a charge over the hulls that share its job.
func appendMoves(moves []recall.Move, y *costing.Yard, ch *stock.Charge, e *EntryOf) ([]recall.Move, error) {
	m := recall.Move{Lot: ch.Lot, Worker: workerOf(e), Job: ch.Job, Kind: ch.Kind, Day: ch.Date, Quantity: ch.Drawn, Waste: ch.Wasted}
	if ch.Job == "" || ch.Kind == stock.Difference {
		return append(moves, m), nil
	}
	ps, err := stock.Postings(y, ch)
	if err != nil {
		return nil, err
	}
	for i := range ps {
		m.Hull, m.Quantity, m.Waste = ps[i].Hull, ps[i].Quantity, ps[i].Waste
		moves = append(moves, m)
	}
	return moves, nil
}

func workerOf(e *EntryOf) string {
	switch {
	case e == nil:
		return ""
	case e.Worker != "":
		return e.Worker
	}
	return e.Crew
}

// TraceHull lists every lot that went into a hull.
func (tx *Tx) TraceHull(ctx context.Context, f *Figures, hull string) ([]recall.Row, error) {
	if f.Yard.Hulls[hull] == nil {
		return nil, Errorf(NotFound, "there is no hull %.60q", hull)
	}
	list, err := tx.Postings(ctx, f, PostingQuery{Hull: hull, Element: costing.Material}, 0, 0)
	if err != nil {
		return nil, err
	}
	var moves []recall.Move
	for i := range list.Rows {
		p := &list.Rows[i]
		e := list.Entries[p.Source]
		m := recall.Move{Worker: workerOf(e), Hull: hull, Job: p.Job, Kind: stock.Issue, Day: p.Date, Quantity: p.Quantity, Waste: p.Waste}
		rest, counted := strings.CutPrefix(p.Source, "count ")
		piece, cut := strings.CutPrefix(p.Source, "offcut ")
		switch {
		case cut && f.Yard.Lots[piece] != nil: // left over from a job, and kept
			m.Lot, m.Kind = f.Yard.Lots[piece].Parent, stock.Return
		case counted:
			m.Lot = rest[:max(0, strings.LastIndex(rest, " "))]
			m.Kind = stock.Difference
		case e != nil && e.Lot != "":
			m.Lot = e.Lot
			if e.Kind == clock.Scrapped {
				m.Kind = stock.Scrap
			}
		default:
			continue
		}
		moves = append(moves, m)
	}
	return recall.Rows(f.Yard, moves, nil), nil
}
