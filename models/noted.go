package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Noted lists the checks and problems that the floor scanned and that stood at
// an instant, in order.
func (tx *Tx) Noted(ctx context.Context, at costing.Instant) ([]*clock.Entry, error) {
	return tx.noted(ctx, "kind IN ('check', 'problem') AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)", at, at)
}

func (tx *Tx) noted(ctx context.Context, where string, args ...any) ([]*clock.Entry, error) {
	var rows []entryRecord
	err := tx.DB.WithContext(ctx).Order("at_ms, station, n, id").Find(&rows, append([]any{where}, args...)...).Error
	return entriesOf(rows), err
}

// JobCheck is a check noted on a job, scanned or at a desk.
type JobCheck struct {
	Job     string
	At      costing.Instant
	Kind    clock.CheckKind
	Value   costing.Quantity // in the check's unit
	Minutes costing.Quantity // 0: not over minutes
	Who     string           // as the yard calls them; empty where nobody said
	Station string           // empty: at a desk
	Note    string
}

// ChecksOf lists the checks of some jobs by job and instant.
func (tx *Tx) ChecksOf(ctx context.Context, snap *Snapshot, jobs []string, at costing.Instant) ([]JobCheck, error) {
	var list []JobCheck
	for part := range slices.Chunk(jobs, 1000) {
		scanned, err := tx.noted(ctx, "kind = 'check' AND job IN ? AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)", part, at, at)
		if err != nil {
			return nil, err
		}
		for _, e := range scanned {
			list = append(list, JobCheck{
				Job: e.Job, At: e.At, Kind: clock.CheckKind(e.Detail), Value: e.Quantity, Minutes: e.Minutes, Who: snap.whoOf(e), Station: e.Station,
			})
		}
		var rows []CheckRow
		if err := tx.DB.WithContext(ctx).Find(&rows, "job IN ? AND at_ms <= ?", part, at).Error; err != nil {
			return nil, err
		}
		for i := range rows {
			r := &rows[i]
			list = append(list, JobCheck{
				Job: r.Job, At: r.At, Kind: clock.CheckKind(r.Check), Value: costing.Quantity(r.Value),
				Minutes: orZero(r.Minutes), Who: r.Who, Note: r.Note,
			})
		}
	}
	slices.SortStableFunc(list, func(a, b JobCheck) int { return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.At, b.At)) })
	return list, nil
}

// whoOf is who an entry names.
func (s *Snapshot) whoOf(e *clock.Entry) string {
	if e.Crew != "" {
		return s.name(string(clock.Crew), e.Crew)
	}
	if e.Worker == "" {
		return ""
	}
	return s.name(string(clock.Worker), e.Worker)
}
