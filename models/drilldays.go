package models

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/review"
)

// LabourDay is the time that people of a grade worked on a job of a hull on
// one day, and what it cost.
type LabourDay struct {
	Job, Grade string
	Day        costing.Date
	Seconds    int64
	Amount     costing.Money
}

type labourDayKey struct {
	job, grade string
	day        costing.Date
}

// LabourDays lists the labour of a hull, or of one of its stages, by day.
func (tx *Tx) LabourDays(f *Figures, hull, stage string) ([]LabourDay, error) {
	days := map[labourDayKey]*LabourDay{}
	q := PostingQuery{Hull: hull, Stage: stage, Element: costing.Labour}
	add := func(job, grade string, day costing.Date, seconds int64, amount costing.Money) {
		k := labourDayKey{job, grade, day}
		d := days[k]
		if d == nil {
			d = &LabourDay{Job: job, Grade: grade, Day: day}
			days[k] = d
		}
		d.Seconds += seconds
		d.Amount += amount
	}
	pieces := f.Running
	if f.derived {
		pieces = f.pieces
	} else if err := tx.keptLabourDays(&q, add); err != nil {
		return nil, err
	}
	for i := range pieces {
		if !onHull(f.Yard, pieces[i].Job, hull) {
			continue
		}
		ps, err := clock.Postings(f.Yard, &pieces[i])
		if err != nil {
			return nil, err
		}
		for j := range ps {
			if p := &ps[j]; q.matches(p) {
				add(p.Job, p.Detail, p.Date, p.Seconds, p.Amount)
			}
		}
	}
	keys := slices.SortedFunc(maps.Keys(days), func(a, b labourDayKey) int {
		return compareLabourDays(a, b)
	})
	list := make([]LabourDay, len(keys))
	for i, k := range keys {
		list[i] = *days[k]
	}
	return list, nil
}

func (tx *Tx) keptLabourDays(q *PostingQuery, add func(string, string, costing.Date, int64, costing.Money)) error {
	where, args := q.where()
	rows, err := tx.DB.Raw("SELECT job, detail, date, SUM(seconds), SUM(amount) FROM postings WHERE "+where+
		" GROUP BY job, detail, date", args...).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var job, grade, date string
		var seconds int64
		var amount costing.Money
		if err := rows.Scan(&job, &grade, &date, &seconds, &amount); err != nil {
			return err
		}
		day, err := costing.ParseDate(date)
		if err != nil {
			return err
		}
		add(job, grade, day, seconds, amount)
	}
	return rows.Err()
}

// onHull reports whether a hull has a share of a job.
func onHull(y *costing.Yard, job, hull string) bool {
	j := y.Jobs[job]
	return j != nil && slices.ContainsFunc(j.Shares, func(s costing.ShareOf) bool { return s.Hull == hull })
}

// Statements lists the progress that jobs of a hull have stated by the instant
// of the figures, in order.
func (tx *Tx) Statements(f *Figures, hull string) ([]review.Statement, error) {
	var jobs []string
	for key := range f.Yard.Jobs {
		if onHull(f.Yard, key, hull) {
			jobs = append(jobs, key)
		}
	}
	var entries []*clock.Entry
	for part := range slices.Chunk(jobs, 1000) {
		var rows []entryRecord
		err := tx.DB.Find(&rows, "kind = 'progress' AND job IN ? AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)", part, f.At, f.At).Error
		if err != nil {
			return nil, err
		}
		entries = append(entries, entriesOf(rows)...)
	}
	for _, e := range clock.FromDesk(f.Yard, f.At) {
		if onHull(f.Yard, e.Job, hull) {
			entries = append(entries, e)
		}
	}
	slices.SortFunc(entries, clock.Compare)
	list := make([]review.Statement, len(entries))
	for i, e := range entries {
		list[i] = review.Statement{Job: e.Job, At: e.At, Percent: e.Percent}
	}
	return list, nil
}

// Review is what reviews are made of.
func (c *Cost) Review() *review.Books {
	return &review.Books{
		Yard: c.Yard, Day: c.Day, Plan: c.Plan, Stated: c.Stated, Totals: c.Totals, Rows: c.Rows, Cells: c.Cells, Margins: c.Margins,
	}
}
