package models

import (
	"context"
	"fmt"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/recost"
)

// Stated is what every job has last stated of its progress by an instant.
func (tx *Tx) Stated(at costing.Instant) (estimate.Progress, error) {
	snap, err := tx.LoadedSnapshot(tx.DB.Statement.Context)
	if err != nil {
		return nil, err
	}
	stated, err := tx.statedOf(snap, nil, at)
	if err != nil {
		return nil, err
	}
	var all []*clock.Entry
	for _, list := range stated {
		for _, e := range list {
			stood := *e
			stood.VoidedBy = "" // what was undone later stood then
			all = append(all, &stood)
		}
	}
	return recost.Stated(all), nil
}

// HoldUntil is when a hold is over, once it has begun.
func (tx *Tx) HoldUntil(h *costing.JobHold, at costing.Instant) (until costing.Instant, begun bool, err error) {
	snap, err := tx.LoadedSnapshot(tx.DB.Statement.Context)
	if err != nil {
		return 0, false, err
	}
	stated, err := tx.statedOf(snap, []string{h.Job}, at)
	if err != nil {
		return 0, false, err
	}
	since, begun := clock.SignedSince(stated[h.Job])
	if begun {
		until = h.Ends(since)
	}
	return until, begun, nil
}

// ChecksAt lists the checks noted on some jobs by an instant.
func (tx *Tx) ChecksAt(ctx context.Context, jobs []string, at costing.Instant) ([]JobCheck, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	return tx.ChecksOf(ctx, snap, jobs, at)
}

// ReworkFor is a new job of rework on what another job was for, with a free
// number after the other's.
func (tx *Tx) ReworkFor(ctx context.Context, job string) (JobRow, error) {
	rows, err := jobsFile.all(ctx, tx)
	if err != nil {
		return JobRow{}, err
	}
	taken := map[string]bool{}
	var of *JobRow
	for i := range rows {
		taken[strings.ToUpper(rows[i].Job)] = true
		if rows[i].Job == job {
			of = &rows[i]
		}
	}
	if of == nil {
		return JobRow{}, Errorf(NotFound, "there is no job %.40q", job)
	}
	r := JobRow{Hull: of.Hull, Shares: of.Shares, Stage: of.Stage, Part: of.Part, Purpose: string(costing.Rework)}
	for n := 1; ; n++ {
		if r.Job = fmt.Sprintf("%s-R%d", job, n); !taken[strings.ToUpper(r.Job)] {
			return r, nil
		}
	}
}
