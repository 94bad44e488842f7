package models

import (
	"context"

	"hulltally/costing"
)

func yardFloor(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, jobHoldsFile, func(r *JobHoldRow) error {
		y.JobHolds[r.Before] = append(y.JobHolds[r.Before], costing.JobHold{Job: r.Job, Kind: r.Kind, Before: r.Before, Hours: r.Hours})
		return nil
	}); err != nil {
		return err
	}
	return each(ctx, tx, progressFile, func(r *ProgressRow) error {
		y.Stated = append(y.Stated, costing.Statement{Job: r.Job, At: r.At, Percent: r.Percent, Who: r.Who, Why: r.Why})
		return nil
	})
}
