package models

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"hulltally/costing"
)

// How closed months are kept. The postings that are computed stay in the table
// of postings, whatever their month. What was booked in a month when it was
// closed is in the table frozen. The books are what is frozen in the closes in
// force, the adjustments (computed − frozen of closed months, in the first open
// one), and what is computed in open months. Totals and adjustments follow in
// the same transaction.

// applyClose moves a month's postings from computed to frozen, or back. before
// is the last month closed without the close.
func (tx *Tx) applyClose(ctx context.Context, c *costing.Close, before costing.Period, opened bool) error {
	totals, adjusted := costing.NewTotals(), costing.Adjustments{}
	sign := int64(1)
	was, is := before, c.Period // the last month closed
	if opened {
		sign, was, is = -1, is, before
	}
	frozen, err := tx.frozenLines(ctx, "closed_ms = ?", c.At)
	if err != nil {
		return err
	}
	for i := range frozen {
		count(totals, &frozen[i], sign)
		adjusted.Count(&frozen[i], -sign)
	}
	err = tx.eachPosting(ctx, "period > ? AND period <= ?", []any{before, c.Period}, func(p *costing.Posting) error {
		count(totals, p, -sign)
		adjusted.Count(p, sign)
		return nil
	})
	if err != nil {
		return err
	}
	// The adjustments there are move to the new first open day, with the change.
	old, err := tx.adjustments(ctx)
	if err != nil {
		return err
	}
	for i := range old {
		p := old[i].Booked(was)
		totals.Take(&p)
		adjusted.Count(&old[i], 1)
	}
	if err := tx.DB.WithContext(ctx).Exec("DELETE FROM adjustments").Error; err != nil {
		return err
	}
	for k, s := range adjusted {
		p := k.WithSums(s)
		p = p.Booked(is)
		totals.Add(&p)
	}
	if is == 0 && slices.ContainsFunc(slices.Collect(maps.Values(adjusted)), func(s costing.Sums) bool { return !s.IsZero() }) {
		return fmt.Errorf("with nothing closed there are adjustments: this cannot be")
	}
	if err := tx.addAdjustments(ctx, adjusted); err != nil {
		return err
	}
	return tx.addTotals(ctx, totals)
}

func count(t *costing.Totals, p *costing.Posting, sign int64) {
	if sign > 0 {
		t.Add(p)
	} else {
		t.Take(p)
	}
}

const postingSelect = "source, date, debit, credit, hull, stage, job, element, purpose, detail, seconds, quantity, net, waste, amount"

// eachPosting hands over computed postings, lent for the call, in no order.
func (tx *Tx) eachPosting(ctx context.Context, where string, args []any, do func(*costing.Posting) error) error {
	return tx.eachLine(ctx, "SELECT "+postingSelect+" FROM postings WHERE "+where, args, do)
}

// eachLine hands over the postings that a query gives in the order of postingSelect.
func (tx *Tx) eachLine(ctx context.Context, query string, args []any, do func(*costing.Posting) error) error {
	rows, err := tx.DB.WithContext(ctx).Raw(query, args...).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var date string
		var p costing.Posting
		if err := rows.Scan(&p.Source, &date, &p.Debit, &p.Credit, &p.Hull, &p.Stage, &p.Job, &p.Element,
			&p.Purpose, &p.Detail, &p.Seconds, &p.Quantity, &p.Net, &p.Waste, &p.Amount); err != nil {
			return err
		}
		if p.Date, err = dayOf(date); err != nil {
			return err
		}
		if err := do(&p); err != nil {
			return err
		}
	}
	return rows.Err()
}

// dayOf reads a day that a query gives. One that a query makes itself may come
// with a time of day.
func dayOf(text string) (costing.Date, error) {
	return costing.ParseDate(text[:min(len(text), len("2026-01-01"))])
}

func (tx *Tx) frozenLines(ctx context.Context, where string, args ...any) (list []costing.Posting, err error) {
	err = tx.eachLine(ctx, "SELECT "+postingSelect+" FROM frozen WHERE "+where+" ORDER BY closed_ms, seq", args, func(p *costing.Posting) error {
		list = append(list, *p)
		return nil
	})
	return list, err
}

// inForce is a condition on the table frozen: the closes that hold.
func inForce(closes []costing.Close) string {
	if len(closes) == 0 {
		return "1 = 0"
	}
	var ids []string
	for _, c := range closes {
		ids = append(ids, fmt.Sprint(int64(c.At)))
	}
	return "closed_ms IN (" + strings.Join(ids, ", ") + ")"
}

// frozenTotals are the totals of what closes froze.
func (tx *Tx) frozenTotals(ctx context.Context, closes []costing.Close) (*costing.Totals, error) {
	t := costing.NewTotals()
	if len(closes) == 0 {
		return t, nil
	}
	heads := "debit, credit, hull, stage, job, element, purpose, detail"
	err := tx.eachLine(ctx, "SELECT '', MIN(date), "+heads+", CAST(SUM(seconds) AS BIGINT), CAST(SUM(quantity) AS BIGINT), CAST(SUM(net) AS BIGINT), "+
		"CAST(SUM(waste) AS BIGINT), CAST(SUM(amount) AS BIGINT) FROM frozen WHERE "+inForce(closes)+" GROUP BY period, "+heads, nil,
		func(p *costing.Posting) error {
			t.Add(p)
			return nil
		})
	return t, err
}

// adjustments lists the adjustments in order of what they adjust, without a date.
func (tx *Tx) adjustments(ctx context.Context) (list []costing.Posting, err error) {
	err = tx.eachLine(ctx, "SELECT source, '1970-01-01', debit, credit, hull, stage, job, element, purpose, detail, seconds, quantity, net, waste, amount "+
		"FROM adjustments ORDER BY id", nil, func(p *costing.Posting) error {
		p.Date = 0
		list = append(list, *p)
		return nil
	})
	return list, err
}

// addAdjustments adds differences to the kept adjustments; what comes to
// nought is none.
func (tx *Tx) addAdjustments(ctx context.Context, a costing.Adjustments) error {
	byID := map[string]costing.Posting{}
	for k, s := range a {
		if !s.IsZero() {
			byID[adjustmentID(&k)] = k.WithSums(s)
		}
	}
	if len(byID) == 0 {
		return nil
	}
	ids := slices.Sorted(maps.Keys(byID)) // in order, so that no two transactions wait in a circle
	var c postingColumns
	for i, id := range ids {
		p := byID[id]
		c.add(id, i, &p)
	}
	columns := slices.DeleteFunc(c.columns(), func(c Column) bool { return c.Name == "seq" || c.Name == "date" || c.Name == "period" })
	columns[0].Name = "id"
	err := tx.Insert(ctx, "adjustments", "ON CONFLICT (id) DO UPDATE SET seconds = adjustments.seconds + excluded.seconds, "+
		"quantity = adjustments.quantity + excluded.quantity, net = adjustments.net + excluded.net, waste = adjustments.waste + excluded.waste, "+
		"amount = adjustments.amount + excluded.amount", columns...)
	if err != nil {
		return err
	}
	return tx.DB.WithContext(ctx).Exec("DELETE FROM adjustments WHERE seconds = 0 AND quantity = 0 AND net = 0 AND waste = 0 AND amount = 0").Error
}

// adjustmentID names what an adjustment adjusts.
func adjustmentID(k *costing.Posting) string {
	h := sha256.New()
	for _, cell := range []string{
		k.Source, string(k.Debit), string(k.Credit), k.Hull, k.Stage, k.Job, string(k.Element), string(k.Purpose), k.Detail,
	} {
		fmt.Fprintf(h, "%d:%s|", len(cell), cell)
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// reckonedAdjustments are the adjustments as the database's own arithmetic
// has them: computed less frozen, in months that are closed.
func (tx *Tx) reckonedAdjustments(ctx context.Context, closes []costing.Close) (costing.Adjustments, error) {
	a := costing.Adjustments{}
	if len(closes) == 0 {
		return a, nil
	}
	heads := "source, debit, credit, hull, stage, job, element, purpose, detail"
	sum := func(column string) string { return "CAST(SUM(" + column + ") AS BIGINT)" }
	nought := func(column string) string { return "SUM(" + column + ") <> 0" }
	sums := []string{"seconds", "quantity", "net", "waste", "amount"}
	var sumList, noughtList, minus []string
	for _, s := range sums {
		sumList, noughtList, minus = append(sumList, sum(s)), append(noughtList, nought(s)), append(minus, "-"+s)
	}
	err := tx.eachLine(ctx, "SELECT source, '1970-01-01', debit, credit, hull, stage, job, element, purpose, detail, "+strings.Join(sumList, ", ")+
		" FROM (SELECT "+heads+", seconds, quantity, net, waste, amount FROM postings WHERE period <= ? UNION ALL SELECT "+heads+", "+
		strings.Join(minus, ", ")+" FROM frozen WHERE "+inForce(closes)+") AS d GROUP BY "+heads+" HAVING "+strings.Join(noughtList, " OR "),
		[]any{closes[len(closes)-1].Period}, func(p *costing.Posting) error {
			a.Count(p, 1)
			return nil
		})
	return a, err
}

// booked is the table expression of what is booked: as it was frozen, adjusted,
// and computed in open months.
func booked(closes []costing.Close) string {
	if len(closes) == 0 {
		return "postings"
	}
	closed := closes[len(closes)-1].Period
	open := closed.Next()
	rest := "debit, credit, hull, stage, job, element, purpose, detail, seconds, quantity, net, waste, amount"
	return fmt.Sprintf("(SELECT unit, seq, source, date, period, %s FROM postings WHERE period > %d "+
		"UNION ALL SELECT 'frozen', seq, source, date, period, %s FROM frozen WHERE %s "+
		"UNION ALL SELECT id, 0, source, '%s', %d, %s FROM adjustments) AS booked", rest, closed, rest, inForce(closes), open.First(), open, rest)
}

// BookLines lists everything that is computed, what closes in force froze, and
// the adjustments with their date.
func (tx *Tx) BookLines(ctx context.Context) (computed, frozen, adjustments []costing.Posting, err error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, nil, nil, err
	}
	all := snap.Yard.Closes
	if err = tx.eachPosting(ctx, "1 = 1", nil, func(p *costing.Posting) error {
		computed = append(computed, *p)
		return nil
	}); err != nil {
		return nil, nil, nil, err
	}
	if frozen, err = tx.frozenLines(ctx, inForce(all.InForce(endOfTime))); err != nil {
		return nil, nil, nil, err
	}
	kept, err := tx.adjustments(ctx)
	gathered := costing.Adjustments{}
	for i := range kept {
		gathered.Count(&kept[i], 1)
	}
	for _, p := range gathered.Sorted() {
		adjustments = append(adjustments, p.Booked(all.Through(endOfTime)))
	}
	return computed, frozen, adjustments, err
}
