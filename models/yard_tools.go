package models

import (
	"context"
	"fmt"

	"hulltally/costing"
)

// yardTools reads tools with their uses, and the usual order of stages.
func yardTools(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, predecessorsFile, func(r *PredecessorRow) error {
		s := y.Stages[r.Stage]
		if s == nil {
			return fmt.Errorf("there is no stage %s", r.Stage)
		}
		s.After = r.list()
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, toolingFile, func(r *ToolRow) (err error) {
		t := &costing.Tool{Key: r.Tool, Name: r.Name, Kind: r.Kind, Planned: int64(r.PlannedUses)}
		t.Begun, err = r.Begun.Date()
		y.Tools[r.Tool] = t
		return err
	}); err != nil {
		return err
	}
	return each(ctx, tx, toolUsesFile, func(r *ToolUseRow) error {
		t := y.Tools[r.Tool]
		if t == nil {
			return fmt.Errorf("there is no tool %s", r.Tool)
		}
		on, err := r.Used.optional()
		t.Uses = append(t.Uses, costing.ToolUse{Hull: r.Hull, Uses: int64(r.Uses), On: on})
		return err
	})
}
