package models

import (
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
)

// Yard is the yard's own data in the engine's form, as the transaction sees it.
func (tx *Tx) Yard(ctx context.Context) (*costing.Yard, error) {
	y := &costing.Yard{
		Workers: map[string]*costing.Worker{}, Crews: map[string]*costing.Crew{},
		Shifts: map[string]*costing.Shift{}, Holidays: map[costing.Date]string{},
		Indirects: map[string]*costing.Indirect{}, Stations: map[string]*costing.Station{},
		Stages: map[string]*costing.Stage{}, Processes: map[string]*costing.Process{}, Grades: map[string]costing.Dated[costing.Price]{},
		Hulls: map[string]*costing.Hull{}, Jobs: map[string]*costing.Job{},
		Changes: map[string]*costing.Change{}, Tools: map[string]*costing.Tool{}, Items: map[string]*costing.Item{},
		Lots: map[string]*costing.Lot{}, Budget: map[costing.HullStage]costing.Quantity{},
		Rates: map[string]costing.Dated[costing.Price]{}, Deliveries: map[string]*costing.Delivery{}, Sheets: map[string]*costing.CountSheet{},
		JobHolds:  map[string][]costing.JobHold{},
		Handovers: map[string]costing.Date{}, Accounts: map[costing.Account]costing.LedgerAccount{},
	}
	for _, part := range []func(context.Context, *Tx, *costing.Yard) error{
		yardPolicy, yardPeople, yardTimes, yardHulls, yardTools, yardJobs, yardItems, yardRates, yardLots, yardDocuments, yardPayments, yardCloses,
		yardMonthEnd, yardFloor,
	} {
		if err := part(ctx, tx, y); err != nil {
			return nil, fmt.Errorf("the yard's data: %w", err)
		}
	}
	return y, nil
}

// only are the first cells of the keys of some rows; nil stands for all rows.
type only []string

// each hands over every row of a file's table in key order.
func each[R any](ctx context.Context, tx *Tx, f *file[R], do func(*R) error) error {
	return eachOf(ctx, tx, f, nil, do)
}

// eachOf is each for the rows with some first key.
func eachOf[R any](ctx context.Context, tx *Tx, f *file[R], keys only, do func(*R) error) error {
	rows, err := f.some(ctx, tx, keys)
	if err != nil {
		return err
	}
	for i := range rows {
		if err := do(&rows[i]); err != nil {
			return fmt.Errorf("%s %s: %w", f.stem, shown(f.keyOf(f.cellsOf(&rows[i]))), err)
		}
	}
	return nil
}

// all reads the file's table in key order.
func (f *file[R]) all(ctx context.Context, tx *Tx) ([]R, error) { return f.where(ctx, tx, "1 = 1") }

// some reads the rows with some first key, in order of the whole key.
func (f *file[R]) some(ctx context.Context, tx *Tx, keys only) ([]R, error) {
	if keys == nil {
		return f.all(ctx, tx)
	}
	sorted := slices.Clone(keys)
	slices.Sort(sorted)
	var all []R
	for part := range slices.Chunk(slices.Compact(sorted), 500) {
		rows, err := f.where(ctx, tx, `"`+f.firstKey().db+`" IN ?`, part)
		if err != nil {
			return nil, err
		}
		all = append(all, rows...)
	}
	return all, nil
}

// where reads the rows that a condition names, in key order.
func (f *file[R]) where(ctx context.Context, tx *Tx, condition string, args ...any) ([]R, error) {
	var rows []R
	q := tx.DB.WithContext(ctx).Table(f.stem).Where(condition, args...)
	for _, c := range f.columns {
		if c.key {
			q = q.Order(`"` + c.db + `"`)
		}
	}
	return rows, q.Find(&rows).Error
}

// firstKey is the first column of the file's key.
func (f *file[R]) firstKey() *column {
	return f.columns[slices.IndexFunc(f.columns, func(c *column) bool { return c.key })]
}

func yardPolicy(ctx context.Context, tx *Tx, y *costing.Yard) error {
	return each(ctx, tx, policyFile, func(r *PolicyRow) error {
		_, err := r.into(y)
		return err
	})
}

// Corrections lists the corrections by worker, instant, kind and target.
func (tx *Tx) Corrections(ctx context.Context) ([]CorrectionRow, error) {
	return correctionsFile.all(ctx, tx)
}

// CorrectionsOf lists one worker's corrections by instant, kind and target.
func (tx *Tx) CorrectionsOf(ctx context.Context, worker string) ([]CorrectionRow, error) {
	var rows []CorrectionRow
	err := tx.DB.WithContext(ctx).Where("worker = ?", worker).Order("at_ms, kind, target").Find(&rows).Error
	return rows, err
}
