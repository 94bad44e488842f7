package models

import (
	"context"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/mass"
	"hulltally/costing/material"
	"hulltally/costing/need"
	"hulltally/costing/stock"
)

// Plan is the current estimate as of the day of the figures.
func (f *Figures) Plan() *estimate.Plan { return estimate.Build(f.Yard, f.Day) }

// Material sets what was drawn against the estimate.
func (f *Figures) Material() (*material.Books, error) {
	return material.Gather(f.Yard, f.Plan(), f.Stated, f.Totals)
}

// Laminates lists the jobs that fibre went into with its fraction.
func (f *Figures) Laminates() ([]mass.Laminate, error) {
	return mass.Laminates(f.Yard, f.Plan(), f.Stated, f.Totals)
}

// Unweighed lists what is aboard without a weight that the books know.
func (f *Figures) Unweighed() []mass.Unweighed { return mass.Without(f.Yard, f.Totals, f.Day) }

// Need lists what the open jobs still expect, by item and week.
func (f *Figures) Need() ([]need.Item, error) {
	var shelves []need.Shelf
	for _, book := range f.Books {
		for key, shelf := range book.Lots {
			if lot := f.Yard.Lots[key]; lot != nil {
				s := stock.Stand(f.Yard, lot, shelf, f.At)
				shelves = append(shelves, need.Shelf{Lot: key, Item: lot.Item, Left: s.Left, Best: s.Best, Held: s.Held != nil})
			}
		}
	}
	return need.List(f.Yard, f.Plan(), f.Stated, f.Totals, shelves, f.Day)
}

// Cuts lists who drew fibre and core for which job, and the waste they measured.
func (tx *Tx) Cuts(ctx context.Context, f *Figures) ([]material.Cut, error) {
	rows, err := tx.DB.WithContext(ctx).Raw("SELECT worker, crew, job, lot, kind, SUM(quantity) FROM entries "+
		"WHERE lot <> '' AND job <> '' AND kind IN (?, ?, ?) AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?) "+
		"GROUP BY worker, crew, job, lot, kind", clock.Issue, clock.Returned, clock.Wasted, f.asOfStock(), f.asOfStock()).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var handled []material.Handled
	for rows.Next() {
		var h material.Handled
		if err := rows.Scan(&h.Worker, &h.Crew, &h.Job, &h.Lot, &h.Kind, &h.Quantity); err != nil {
			return nil, err
		}
		handled = append(handled, h)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	return material.Cuts(f.Yard, f.Plan(), handled), nil
}

// lotsOf lists the lots of a supplier's batch, or the one lot of that key, with
// every offcut that was cut from them.
func lotsOf(y *costing.Yard, batch, lot string) []string {
	var list []string
	seen := map[string]bool{}
	var add func(key string)
	add = func(key string) {
		if l := y.Lots[key]; l != nil && !seen[key] {
			seen[key] = true
			list = append(list, key)
			for _, piece := range l.Offcuts {
				add(piece)
			}
		}
	}
	if lot != "" {
		add(lot)
		return list
	}
	for key, l := range y.Lots {
		if l.SupplierBatch == batch {
			add(key)
		}
	}
	return list
}
