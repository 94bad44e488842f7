package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/recost"
)

// PostingQuery picks postings of a hull; what is empty picks all.
type PostingQuery struct {
	Hull, Stage string
	Element     costing.Element
	Purpose     costing.Purpose
	Period      costing.Period
	Job, Detail string
	Week        costing.Date // its Monday
}

// PostingList is a page of postings, and what all that were picked come to.
type PostingList struct {
	Count   int
	Sums    costing.Sums
	Rows    []costing.Posting
	Entries map[string]*EntryOf // of the rows' sources, by id
	OneItem bool                // quantities of unlike items do not add up
}

// Postings lists what a figure is made of, by date. The sums are over all the
// postings picked, not the page. limit 0 is all of them.
func (tx *Tx) Postings(ctx context.Context, f *Figures, q PostingQuery, offset, limit int) (*PostingList, error) {
	list := &PostingList{OneItem: q.Detail != ""}
	var err error
	if f.derived {
		err = tx.computedPostings(ctx, f, q, offset, limit, list)
	} else {
		err = tx.keptPostings(f, q, offset, limit, list)
	}
	if err != nil {
		return nil, err
	}
	list.Entries, err = tx.entriesBehind(list.Rows)
	return list, err
}

// where is the query as SQL.
func (q *PostingQuery) where() (string, []any) {
	text, args := "hull = ?", []any{q.Hull}
	for _, c := range []struct{ column, value string }{
		{"stage", q.Stage},
		{"element", string(q.Element)},
		{"purpose", string(q.Purpose)},
		{"job", q.Job},
		{"detail", q.Detail},
	} {
		if c.value != "" {
			text, args = text+" AND "+c.column+" = ?", append(args, c.value)
		}
	}
	if q.Period != 0 {
		text, args = text+" AND period = ?", append(args, q.Period)
	}
	if q.Week != 0 {
		text, args = text+" AND date >= ? AND date <= ?", append(args, q.Week.String(), (q.Week+6).String())
	}
	return text, args
}

// table is what is listed: what is booked, or of a week what was worked in it,
// wherever it is booked.
func (q *PostingQuery) table(f *Figures) string {
	if q.Week != 0 {
		return "postings"
	}
	return booked(f.Closes)
}

func (q *PostingQuery) matches(p *costing.Posting) bool {
	is := func(want, has string) bool { return want == "" || want == has }
	return q.Hull == p.Hull && is(q.Stage, p.Stage) && is(string(q.Element), string(p.Element)) &&
		is(string(q.Purpose), string(p.Purpose)) && is(q.Job, p.Job) && is(q.Detail, p.Detail) &&
		(q.Period == 0 || q.Period == p.Period()) && (q.Week == 0 || p.Date >= q.Week && p.Date <= q.Week+6)
}

func sumsOf(p *costing.Posting) costing.Sums {
	return costing.Sums{Seconds: p.Seconds, Quantity: p.Quantity, Net: p.Net, Waste: p.Waste, Amount: p.Amount}
}

// keptPostings reads a page of the stored postings; those of bookings that
// still run come after them.
func (tx *Tx) keptPostings(f *Figures, q PostingQuery, offset, limit int, list *PostingList) error {
	where, args := q.where()
	s := &list.Sums
	err := tx.DB.Raw("SELECT COUNT(*), COALESCE(SUM(seconds), 0), COALESCE(SUM(quantity), 0), COALESCE(SUM(net), 0), "+
		"COALESCE(SUM(waste), 0), COALESCE(SUM(amount), 0) FROM "+q.table(f)+" WHERE "+where, args...).Row().
		Scan(&list.Count, &s.Seconds, &s.Quantity, &s.Net, &s.Waste, &s.Amount)
	if err != nil {
		return err
	}
	stored := list.Count
	running, err := weekPostings(f.Yard, f.Running)
	if err != nil {
		return err
	}
	for i := range running {
		if q.Week == 0 {
			running[i] = running[i].Booked(f.Closed)
		}
	}
	running = slices.DeleteFunc(running, func(p costing.Posting) bool { return !q.matches(&p) })
	for i := range running {
		list.Count++
		*s = s.Plus(sumsOf(&running[i]))
	}
	if limit == 0 {
		limit = list.Count
	}
	if offset < stored {
		if list.Rows, err = tx.postingPage(q.table(f), where, args, offset, limit); err != nil {
			return err
		}
	}
	from := max(0, offset-stored)
	if room := limit - len(list.Rows); room > 0 && from < len(running) {
		list.Rows = append(list.Rows, running[from:min(len(running), from+room)]...)
	}
	return nil
}

func (tx *Tx) postingPage(table, where string, args []any, offset, limit int) (found []costing.Posting, err error) {
	rows, err := tx.DB.Table(table).
		Select("source, date, debit, credit, hull, stage, job, element, purpose, detail, seconds, quantity, net, waste, amount").
		Where(where, args...).Order("date, unit, seq").Offset(offset).Limit(limit).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var date string
		var p costing.Posting
		if err := rows.Scan(&p.Source, &date, &p.Debit, &p.Credit, &p.Hull, &p.Stage, &p.Job, &p.Element,
			&p.Purpose, &p.Detail, &p.Seconds, &p.Quantity, &p.Net, &p.Waste, &p.Amount); err != nil {
			return nil, err
		}
		if p.Date, err = dayOf(date); err != nil {
			return nil, err
		}
		found = append(found, p)
	}
	return found, rows.Err()
}

// computedPostings picks from the books computed for an instant of the past.
func (tx *Tx) computedPostings(ctx context.Context, f *Figures, q PostingQuery, offset, limit int, list *PostingList) error {
	var all []costing.Posting
	each := tx.eachBooked
	if q.Week != 0 {
		each = tx.eachComputed
	}
	err := each(ctx, f, func(p *costing.Posting) {
		if q.matches(p) {
			all = append(all, *p)
			list.Sums = list.Sums.Plus(sumsOf(p))
		}
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(all, func(a, b costing.Posting) int { return cmp.Compare(a.Date, b.Date) })
	list.Count = len(all)
	if limit == 0 {
		limit = list.Count
	}
	offset = min(offset, len(all))
	list.Rows = all[offset:min(len(all), offset+limit)]
	return nil
}

// eachComputed computes the books of an instant again for their postings.
func (tx *Tx) eachComputed(ctx context.Context, f *Figures, do func(*costing.Posting)) error {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return err
	}
	facts, err := tx.facts(snap, f.At)
	if err != nil {
		return err
	}
	_, err = recost.Everything(facts, func(p *costing.Posting) error {
		do(p)
		return nil
	})
	return err
}

// eachBooked is eachComputed with closed months as they were frozen, and what
// differs as adjustments.
func (tx *Tx) eachBooked(ctx context.Context, f *Figures, do func(*costing.Posting)) error {
	if f.Closed == 0 {
		return tx.eachComputed(ctx, f, do)
	}
	var closed []costing.Posting
	err := tx.eachComputed(ctx, f, func(p *costing.Posting) {
		if p.Period() <= f.Closed {
			closed = append(closed, *p)
		} else {
			do(p)
		}
	})
	if err != nil {
		return err
	}
	frozen, err := tx.frozenLines(ctx, inForce(f.Closes))
	if err != nil {
		return err
	}
	_, adjustments := costing.Adjust(f.Closed, frozen, closed)
	for i := range frozen {
		do(&frozen[i])
	}
	for i := range adjustments {
		do(&adjustments[i])
	}
	return nil
}
