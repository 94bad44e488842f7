package models

import (
	"context"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// DeskJob is a job as a stores desk sees it: what its estimate still expects
// from the stores, and what it drew. It holds no price.
type DeskJob struct {
	*costing.Job
	Payload string
	Hulls   string
	About   string // its stage and part, in words
	Lines   []DeskLine
}

// DeskLine is one item of a job, in the item's stock unit. Expected is net with
// the waste allowance, and Issued what left the lots less what came back, so
// that the two compare whichever way the item is read.
type DeskLine struct {
	Item     *costing.Item
	Planned  bool // a line of the job's estimate names it
	Expected costing.Quantity
	Issued   costing.Quantity
	Wasted   costing.Quantity
}

// Left is what the estimate still expects; below nothing, more was issued.
func (l *DeskLine) Left() costing.Quantity { return l.Expected - l.Issued }

// DeskJobOf is a job by the payload of its card.
func (tx *Tx) DeskJobOf(ctx context.Context, payload string, now costing.Instant) (*DeskJob, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	heard := snap.Resolve(payload, now)
	job := snap.Yard.Jobs[heard.Key]
	if heard.Kind != clock.Job || job == nil {
		return nil, notACode(heard, "job card")
	}
	d := &DeskJob{Job: job, Payload: snap.inForce("job")[job.Key], Hulls: hullsOf(job), About: snap.aboutJob(job.Stage, job.Part)}
	lines := map[string]*DeskLine{}
	if err := expected(snap.Yard, job, costing.DateOf(now, snap.Yard.Zone), lines); err != nil {
		return nil, err
	}
	if err := tx.drawnBy(ctx, snap.Yard, job, lines); err != nil {
		return nil, err
	}
	for _, planned := range []bool{true, false} {
		for _, key := range sorted(lines) {
			if l := lines[key]; l.Planned == planned {
				d.Lines = append(d.Lines, *l)
			}
		}
	}
	return d, nil
}

func lineOf(y *costing.Yard, lines map[string]*DeskLine, item string) *DeskLine {
	if y.Items[item] == nil {
		return nil
	}
	if lines[item] == nil {
		lines[item] = &DeskLine{Item: y.Items[item]}
	}
	return lines[item]
}

// expected adds up the material lines of a job that count on a day: a line
// belongs to the change order it names, or else to its job's.
func expected(y *costing.Yard, job *costing.Job, day costing.Date, lines map[string]*DeskLine) error {
	for i := range y.Estimate {
		e := &y.Estimate[i]
		if e.Job != job.Key || e.Element != costing.Material {
			continue
		}
		key := e.Change
		if key == "" {
			key = job.Change
		}
		if c := y.Changes[key]; key != "" && (c == nil || !c.Counts(day)) {
			continue
		}
		l := lineOf(y, lines, e.Key)
		if l == nil {
			continue
		}
		gross, err := costing.GrossUp(e.Quantity, e.Waste)
		if err != nil {
			return err
		}
		l.Planned = true
		l.Expected += gross
	}
	return nil
}

// drawnBy adds up what left the lots for a job, and what came back.
func (tx *Tx) drawnBy(ctx context.Context, y *costing.Yard, job *costing.Job, lines map[string]*DeskLine) error {
	var rows []entryRecord
	err := tx.DB.WithContext(ctx).Order("at_ms, station, n").
		Find(&rows, "job = ? AND lot <> '' AND voided_by = '' AND kind IN ('issue', 'return', 'waste')", job.Key).Error
	if err != nil {
		return err
	}
	for i := range rows {
		r := &rows[i]
		lot := y.Lots[r.Lot]
		if lot == nil {
			continue
		}
		l := lineOf(y, lines, lot.Item)
		if l == nil {
			continue
		}
		switch r.Kind {
		case clock.Issue:
			gross, err := costing.GrossUp(r.Quantity, factorOf(l.Item, job, costing.DateOf(r.AtMs, y.Zone)))
			if err != nil {
				return err
			}
			l.Issued += gross
		case clock.Returned:
			l.Issued -= r.Quantity
		case clock.Wasted:
			l.Wasted += r.Quantity
		}
	}
	return nil
}

// factorOf is what leaves a lot beyond the quantity read, as a share of it.
func factorOf(it *costing.Item, job *costing.Job, day costing.Date) costing.Share {
	switch {
	case it.WasteMode != costing.Factored:
		return 0
	case job.WasteFactor != nil:
		return *job.WasteFactor
	}
	return it.WasteFactor.Or(day, 0)
}
