package models

import (
	"slices"

	"hulltally/costing/clock"
	"hulltally/costing/review"
)

// AllStatements lists the progress that jobs have stated by the instant of the
// figures, in order, by hull.
func (tx *Tx) AllStatements(f *Figures) (map[string][]review.Statement, error) {
	var rows []entryRecord
	err := tx.DB.Select("id, at_ms, station, n, kind, job, percent, voided_by, voided_at_ms").
		Find(&rows, "kind = 'progress' AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)", f.At, f.At).Error
	if err != nil {
		return nil, err
	}
	entries := entriesOf(rows)
	slices.SortFunc(entries, clock.Compare)
	list := map[string][]review.Statement{}
	for _, e := range entries {
		job := f.Yard.Jobs[e.Job]
		if job == nil {
			continue
		}
		for _, s := range job.Shares {
			list[s.Hull] = append(list[s.Hull], review.Statement{Job: e.Job, At: e.At, Percent: e.Percent})
		}
	}
	return list, nil
}
