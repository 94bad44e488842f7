package models

import (
	"context"
	"fmt"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// derived gathers the differences that a transaction makes to what is derived,
// and writes them at its end: postings, pieces, and the totals, added up per
// cell before they are written.
type derived struct {
	tx     *Tx
	ctx    context.Context
	snap   *Snapshot
	totals *costing.Totals
	// open is the first open day: what is dated before it is booked on it.
	open     costing.Date
	closed   costing.Period
	adjusted costing.Adjustments

	postings postingColumns
	pieces   pieceColumns
}

func newDerived(ctx context.Context, tx *Tx, snap *Snapshot) *derived {
	d := &derived{tx: tx, ctx: ctx, snap: snap, totals: costing.NewTotals(), adjusted: costing.Adjustments{}}
	return d.closedThrough(snap.Yard.Closes.Through(endOfTime))
}

func (d *derived) closedThrough(p costing.Period) *derived {
	d.closed, d.open = p, costing.FromStart
	if p != 0 {
		d.open = p.Next().First()
	}
	return d
}

// count takes a posting into the totals with a sign; one of a closed month
// makes an adjustment.
func (d *derived) count(p *costing.Posting, sign int64) {
	if p.Date >= d.open {
		count(d.totals, p, sign)
		return
	}
	b := p.Booked(d.closed)
	count(d.totals, &b, sign)
	d.adjusted.Count(p, sign)
}

// append adds postings of a unit from a sequence number on.
func (d *derived) append(unit string, seq int, ps []costing.Posting) error {
	if err := costing.CheckBalance(ps); err != nil {
		return err
	}
	for i := range ps {
		d.count(&ps[i], 1)
		d.postings.add(unit, seq+i, &ps[i])
	}
	return nil
}

// replace makes a unit's stored postings those given: what is equal from the
// start on stays, the rest is taken out and put in.
func (d *derived) replace(unit string, was, is []costing.Posting) error {
	same := 0
	for same < len(was) && same < len(is) && was[same] == is[same] {
		same++
	}
	if same < len(was) {
		if err := d.tx.DB.Exec("DELETE FROM postings WHERE unit = ? AND seq >= ?", unit, same).Error; err != nil {
			return err
		}
		for i := range was[same:] {
			d.count(&was[same+i], -1)
		}
	}
	return d.append(unit, same, is[same:])
}

// replacePieces is replace for the pieces of a worker's week.
func (d *derived) replacePieces(unit string, was, is []clock.Piece) error {
	same := 0
	for same < len(was) && same < len(is) && was[same] == is[same] {
		same++
	}
	if same < len(was) {
		if err := d.tx.DB.Exec("DELETE FROM pieces WHERE unit = ? AND seq >= ?", unit, same).Error; err != nil {
			return err
		}
	}
	d.appendPieces(unit, same, is[same:])
	return nil
}

func (d *derived) appendPieces(unit string, seq int, pieces []clock.Piece) {
	for i := range pieces {
		d.pieces.add(unit, seq+i, &pieces[i])
	}
}

// flush writes what was gathered.
func (d *derived) flush() error {
	if err := d.tx.Insert(d.ctx, "postings", "", d.postings.columns()...); err != nil {
		return fmt.Errorf("writing postings: %w", err)
	}
	if err := d.tx.Insert(d.ctx, "pieces", "", d.pieces.columns()...); err != nil {
		return fmt.Errorf("writing pieces: %w", err)
	}
	if err := d.tx.addAdjustments(d.ctx, d.adjusted); err != nil {
		return fmt.Errorf("writing adjustments: %w", err)
	}
	return d.tx.addTotals(d.ctx, d.totals)
}

// storedPostings reads the postings of units, in order, by unit.
func (tx *Tx) storedPostings(where string, args ...any) (map[string][]costing.Posting, error) {
	rows, err := tx.DB.Table("postings").
		Select("unit, source, date, debit, credit, hull, stage, job, element, purpose, detail, seconds, quantity, net, waste, amount").
		Where(where, args...).Order("unit, seq").Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	found := map[string][]costing.Posting{}
	for rows.Next() {
		var unit, date string
		var p costing.Posting
		if err := rows.Scan(&unit, &p.Source, &date, &p.Debit, &p.Credit, &p.Hull, &p.Stage, &p.Job, &p.Element,
			&p.Purpose, &p.Detail, &p.Seconds, &p.Quantity, &p.Net, &p.Waste, &p.Amount); err != nil {
			return nil, err
		}
		if p.Date, err = costing.ParseDate(date); err != nil {
			return nil, err
		}
		found[unit] = append(found[unit], p)
	}
	return found, rows.Err()
}

// storedPieces reads the pieces of units, in order, by unit.
func (tx *Tx) storedPieces(where string, args ...any) (map[string][]clock.Piece, error) {
	rows, err := tx.DB.Table("pieces").
		Select("unit, worker, opened, closed, station, date, start_s, seconds, band, job, indirect, provisional, no_rate, "+
			"base, on_cost, premium, premium_on_cost, overhead").
		Where(where, args...).Order("unit, seq").Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	found := map[string][]clock.Piece{}
	for rows.Next() {
		var unit, date string
		var provisional, noRate int64
		var p clock.Piece
		if err := rows.Scan(&unit, &p.Worker, &p.Opened, &p.Closed, &p.Station, &date, &p.Start, &p.Seconds, &p.Band,
			&p.Job, &p.Indirect, &provisional, &noRate, &p.Base, &p.OnCost, &p.Premium, &p.PremiumOnCost, &p.Overhead); err != nil {
			return nil, err
		}
		p.Provisional, p.NoRate = provisional == 1, noRate == 1
		if p.Date, err = costing.ParseDate(date); err != nil {
			return nil, err
		}
		found[unit] = append(found[unit], p)
	}
	return found, rows.Err()
}
