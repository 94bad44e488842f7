package models

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"hulltally/costing"
)

// addTotals adds differences to the kept totals.
func (tx *Tx) addTotals(ctx context.Context, t *costing.Totals) error {
	if err := tx.addCells(ctx, t.Cells); err != nil {
		return fmt.Errorf("writing totals: %w", err)
	}
	if err := tx.addFine(ctx, t.Fine); err != nil {
		return fmt.Errorf("writing totals of detail: %w", err)
	}
	if err := tx.addLedger(ctx, t.Ledger); err != nil {
		return fmt.Errorf("writing the ledger's totals: %w", err)
	}
	return nil
}

func (tx *Tx) addCells(ctx context.Context, cells map[costing.Cell]costing.Sums) error {
	var hull, stage, element, purpose []string
	var period, seconds, amount []int64
	// In order, so that two transactions never wait for each other in a circle.
	for _, k := range slices.SortedFunc(maps.Keys(cells), compareCells) {
		s := cells[k]
		if s.IsZero() {
			continue
		}
		hull, stage = append(hull, k.Hull), append(stage, k.Stage)
		element, purpose = append(element, string(k.Element)), append(purpose, string(k.Purpose))
		period, seconds, amount = append(period, int64(k.Period)), append(seconds, s.Seconds), append(amount, int64(s.Amount))
	}
	return tx.Insert(ctx, "totals",
		"ON CONFLICT (hull, stage, element, purpose, period) DO UPDATE SET seconds = totals.seconds + excluded.seconds, "+
			"amount = totals.amount + excluded.amount",
		Column{"hull", hull}, Column{"stage", stage}, Column{"element", element}, Column{"purpose", purpose},
		Column{"period", period}, Column{"seconds", seconds}, Column{"amount", amount})
}

func compareCells(a, b costing.Cell) int {
	return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Element, b.Element),
		cmp.Compare(a.Purpose, b.Purpose), cmp.Compare(a.Period, b.Period))
}

func (tx *Tx) addFine(ctx context.Context, fine map[costing.Fine]costing.Sums) error {
	var hull, job, element, detail []string
	var period, seconds, quantity, net, waste, amount []int64
	for _, k := range slices.SortedFunc(maps.Keys(fine), compareFine) {
		s := fine[k]
		if s.IsZero() {
			continue
		}
		hull, job = append(hull, k.Hull), append(job, k.Job)
		element, detail = append(element, string(k.Element)), append(detail, k.Detail)
		period, seconds = append(period, int64(k.Period)), append(seconds, s.Seconds)
		quantity, net, waste = append(quantity, int64(s.Quantity)), append(net, int64(s.Net)), append(waste, int64(s.Waste))
		amount = append(amount, int64(s.Amount))
	}
	return tx.Insert(ctx, "fine_totals",
		"ON CONFLICT (hull, job, element, detail, period) DO UPDATE SET seconds = fine_totals.seconds + excluded.seconds, "+
			"quantity = fine_totals.quantity + excluded.quantity, net = fine_totals.net + excluded.net, "+
			"waste = fine_totals.waste + excluded.waste, amount = fine_totals.amount + excluded.amount",
		Column{"hull", hull}, Column{"job", job}, Column{"element", element}, Column{"detail", detail},
		Column{"period", period}, Column{"seconds", seconds}, Column{"quantity", quantity}, Column{"net", net},
		Column{"waste", waste}, Column{"amount", amount})
}

func compareFine(a, b costing.Fine) int {
	return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Element, b.Element),
		cmp.Compare(a.Detail, b.Detail), cmp.Compare(a.Period, b.Period))
}

func (tx *Tx) addLedger(ctx context.Context, ledger map[costing.Ledger]costing.Money) error {
	var account []string
	var period, amount []int64
	keys := slices.SortedFunc(maps.Keys(ledger), func(a, b costing.Ledger) int {
		return cmp.Or(cmp.Compare(a.Account, b.Account), cmp.Compare(a.Period, b.Period))
	})
	for _, k := range keys {
		if ledger[k] == 0 {
			continue
		}
		account, period = append(account, string(k.Account)), append(period, int64(k.Period))
		amount = append(amount, int64(ledger[k]))
	}
	return tx.Insert(ctx, "ledger_totals",
		"ON CONFLICT (account, period) DO UPDATE SET amount = ledger_totals.amount + excluded.amount",
		Column{"account", account}, Column{"period", period}, Column{"amount", amount})
}

// Totals reads the kept totals.
func (tx *Tx) Totals(ctx context.Context) (*costing.Totals, error) {
	t := costing.NewTotals()
	db := tx.DB.WithContext(ctx)
	rows, err := db.Raw("SELECT hull, stage, element, purpose, period, seconds, amount FROM totals").Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var k costing.Cell
		var s costing.Sums
		if err := rows.Scan(&k.Hull, &k.Stage, &k.Element, &k.Purpose, &k.Period, &s.Seconds, &s.Amount); err != nil {
			return nil, err
		}
		t.Cells[k] = s
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	if rows, err = db.Raw("SELECT hull, job, element, detail, period, seconds, quantity, net, waste, amount FROM fine_totals").Rows(); err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var k costing.Fine
		var s costing.Sums
		if err := rows.Scan(&k.Hull, &k.Job, &k.Element, &k.Detail, &k.Period, &s.Seconds, &s.Quantity, &s.Net, &s.Waste, &s.Amount); err != nil {
			return nil, err
		}
		t.Fine[k] = s
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	if rows, err = db.Raw("SELECT account, period, amount FROM ledger_totals").Rows(); err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var k costing.Ledger
		var m costing.Money
		if err := rows.Scan(&k.Account, &k.Period, &m); err != nil {
			return nil, err
		}
		t.Ledger[k] = m
	}
	return t, rows.Err()
}
