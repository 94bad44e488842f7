package models

import (
	"context"

	"hulltally/costing"
)

// keptFrozen compares what closes froze with their seals, and the adjustments
// with what they should come to.
func (c *checking) keptFrozen() error {
	all := c.snap.Yard.Closes
	for i := range all {
		if all[i].Kind != costing.Closed {
			continue
		}
		held, err := c.tx.frozenBy(c.ctx, all[i].At)
		if err != nil {
			return err
		}
		if is := held.digest(); is != all[i].Digest {
			c.differ("what was frozen of "+all[i].Period.String()+" at "+all[i].At.String()+", by its seal", is, all[i].Digest)
		}
	}
	computed, err := c.tx.reckonedAdjustments(c.ctx, all.InForce(endOfTime))
	if err != nil {
		return err
	}
	list, err := c.tx.adjustments(c.ctx)
	if err != nil {
		return err
	}
	kept := costing.Adjustments{}
	for i := range list {
		kept.Count(&list[i], 1)
	}
	compareTotals(c, "adjustment", kept, computed)
	return nil
}

// freezeAll puts what closes froze into force over books that were computed as
// if nothing were closed.
func (tx *Tx) freezeAll(ctx context.Context, all costing.Closes) error {
	closes := all.InForce(endOfTime)
	if len(closes) == 0 {
		return nil
	}
	closed := closes[len(closes)-1].Period
	adjusted, err := tx.reckonedAdjustments(ctx, closes)
	if err != nil {
		return err
	}
	if err := tx.addAdjustments(ctx, adjusted); err != nil {
		return err
	}
	totals, err := tx.Totals(ctx)
	if err != nil {
		return err
	}
	frozen, err := tx.frozenTotals(ctx, closes)
	if err != nil {
		return err
	}
	totals.Freeze(closed, frozen)
	for _, table := range []string{"totals", "fine_totals", "ledger_totals"} {
		if err := tx.DB.WithContext(ctx).Exec("DELETE FROM " + table).Error; err != nil {
			return err
		}
	}
	return tx.addTotals(ctx, totals)
}
