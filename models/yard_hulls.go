package models

import (
	"context"
	"fmt"

	"hulltally/costing"
)

func yardHulls(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, stagesFile, func(r *StageRow) error {
		y.Stages[r.Stage] = &costing.Stage{Key: r.Stage, Name: r.Name, Order: r.Order}
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, overheadsFile, func(r *OverheadRow) error {
		s := y.Stages[r.Stage]
		if s == nil {
			return fmt.Errorf("there is no stage %s", r.Stage)
		}
		return addDated(&s.Absorption, r.From, r.Rate)
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, hullsFile, func(r *HullRow) (err error) {
		h := &costing.Hull{
			Key: r.Hull, Model: r.Model, Name: r.Name,
			Price: int64(r.Price), PriceCurrency: r.PriceCurrency, PriceRate: r.PriceRate,
		}
		if h.Signed, err = r.Signed.Date(); err != nil {
			return err
		}
		h.Due, err = r.Due.optional()
		y.Hulls[r.Hull] = h
		return err
	}); err != nil {
		return err
	}
	return each(ctx, tx, changesFile, func(r *ChangeRow) (err error) {
		c := &costing.Change{
			Key: r.Change, Hull: r.Hull, Title: r.Title, Price: int64(r.Price), Status: costing.ChangeStatus(r.Status),
		}
		c.AgreedOn, err = r.Agreed.optional()
		y.Changes[r.Change] = c
		return err
	})
}

func yardJobs(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := yardProcesses(ctx, tx, y); err != nil {
		return err
	}
	if err := yardJobRows(ctx, tx, y, nil); err != nil {
		return err
	}
	if err := yardEstimate(ctx, tx, y, nil); err != nil {
		return err
	}
	return yardBudget(ctx, tx, y)
}

func yardProcesses(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return each(ctx, tx, processesFile, func(r *ProcessRow) error {
		y.Processes[r.Process] = r.engine()
		return nil
	})
}

func yardJobRows(ctx context.Context, tx *Tx, y *costing.Yard, keys only) error {
	return eachOf(ctx, tx, jobsFile, keys, func(r *JobRow) (err error) {
		j := &costing.Job{
			Key: r.Job, Stage: r.Stage, Part: r.Part, Purpose: costing.Purpose(r.Purpose),
			Change: r.Change, Rush: r.Rush, WasteFactor: r.WasteFactor, Process: r.Process,
		}
		j.Shares, err = r.hulls()
		y.Jobs[r.Job] = j
		return err
	})
}

// yardEstimate appends the lines of jobs, by job.
func yardEstimate(ctx context.Context, tx *Tx, y *costing.Yard, jobs only) error {
	return eachOf(ctx, tx, estimateFile, jobs, func(r *EstimateRow) error {
		y.Estimate = append(y.Estimate, costing.EstimateLine{
			Job: r.Job, Change: r.Change, Element: costing.Element(r.Element), Key: r.Key,
			Quantity: r.Quantity, Waste: orZero(r.Waste), Rate: r.StandardRate, Plies: orZero(r.Plies),
		})
		return nil
	})
}

func yardBudget(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return each(ctx, tx, budgetFile, func(r *BudgetRow) error {
		y.Budget[costing.HullStage{Hull: r.Hull, Stage: r.Stage}] = r.Kg
		return nil
	})
}

func orZero[T any](p *T) (v T) {
	if p != nil {
		v = *p
	}
	return v
}
