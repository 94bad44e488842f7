package models

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// WeekHours is a worker's week as it stands, and what was approved of it.
type WeekHours struct {
	Worker   string
	Week     costing.Date // its Monday
	Ordinary int64        // seconds
	Overtime int64
	Double   int64
	Digest   string
	// Provisional and Running say that the week isn't fit to be approved yet.
	Provisional, Running bool
	Pieces               []clock.Piece
	Approved             *ApprovalRow // nil: not approved
}

// Changed reports whether the week is no longer what was approved.
func (w *WeekHours) Changed() bool {
	a := w.Approved
	return a != nil && (a.Ordinary != w.Ordinary || a.Overtime != w.Overtime || a.Double != w.Double ||
		a.Digest != "" && a.Digest != w.Digest)
}

// Row is the approval of the week as it stands.
func (w *WeekHours) Row(outcome, who string, at costing.Instant) ApprovalRow {
	return ApprovalRow{
		Worker: w.Worker, Week: Day(w.Week.String()), At: at, Outcome: outcome,
		Ordinary: w.Ordinary, Overtime: w.Overtime, Double: w.Double, Digest: w.Digest, Who: who,
	}
}

// Weeks gives the hours of every worker who has any in a week or an approval of
// it, by worker. What runs counts up to now.
func (tx *Tx) Weeks(ctx context.Context, monday costing.Date, now costing.Instant) ([]*WeekHours, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	weeks, err := tx.weekHours(snap, monday, now, nil)
	if err != nil {
		return nil, err
	}
	approved, err := tx.approvals(ctx, "week = ?", monday.String())
	if err != nil {
		return nil, err
	}
	for key, a := range approved {
		w := weeks[key.worker]
		if w == nil {
			w = &WeekHours{Worker: key.worker, Week: monday, Digest: digest(nil)}
			weeks[key.worker] = w
		}
		w.Approved = a
	}
	var list []*WeekHours
	for _, key := range sorted(weeks) {
		list = append(list, weeks[key])
	}
	return list, nil
}

// weekHours adds a week's pieces up by worker; of some workers where they are named.
func (tx *Tx) weekHours(snap *Snapshot, monday costing.Date, now costing.Instant, workers []string) (map[string]*WeekHours, error) {
	where, args := "date >= ? AND date <= ?", []any{monday.String(), (monday + 6).String()}
	if workers != nil {
		where, args = "worker IN ? AND "+where, append([]any{workers}, args...)
	}
	stored, err := tx.storedPieces(where, args...)
	if err != nil {
		return nil, err
	}
	var pieces []clock.Piece
	for _, list := range stored {
		pieces = append(pieces, list...)
	}
	open, err := tx.openPieces(snap, now)
	if err != nil {
		return nil, err
	}
	for i := range open {
		if d := open[i].Date; d >= monday && d <= monday+6 && (workers == nil || slices.Contains(workers, open[i].Worker)) {
			pieces = append(pieces, open[i])
		}
	}
	slices.SortFunc(pieces, func(a, b clock.Piece) int {
		return cmp.Or(cmp.Compare(a.Worker, b.Worker), cmp.Compare(a.Start, b.Start))
	})
	weeks := map[string]*WeekHours{}
	for i := range pieces {
		p := &pieces[i]
		w := weeks[p.Worker]
		if w == nil {
			w = &WeekHours{Worker: p.Worker, Week: monday}
			weeks[p.Worker] = w
		}
		w.add(p)
	}
	for _, w := range weeks {
		w.Digest = digest(w.Pieces)
	}
	return weeks, nil
}

func (w *WeekHours) add(p *clock.Piece) {
	switch p.Band {
	case clock.Overtime:
		w.Overtime += p.Seconds
	case clock.Double:
		w.Double += p.Seconds
	default:
		w.Ordinary += p.Seconds
	}
	w.Provisional = w.Provisional || p.Provisional
	w.Running = w.Running || p.Running
	w.Pieces = append(w.Pieces, *p)
}

// digest is over what the hours were of: the same time on another job is
// another week. What it cost is no part of it.
func digest(pieces []clock.Piece) string {
	h := sha256.New()
	for i := range pieces {
		p := &pieces[i]
		fmt.Fprintf(h, "%s|%d|%d|%s|%s|%s\n", p.Date, p.Start, p.Seconds, p.Band, p.Job, p.Indirect)
	}
	return hex.EncodeToString(h.Sum(nil))
}

type workerWeek struct {
	worker string
	week   Day
}

// approvals are the approvals in force: the last word on each week, where that
// isn't a withdrawal.
func (tx *Tx) approvals(ctx context.Context, where string, args ...any) (map[workerWeek]*ApprovalRow, error) {
	var rows []ApprovalRow
	if err := tx.DB.WithContext(ctx).Order("at_ms").Where(where, args...).Find(&rows).Error; err != nil {
		return nil, err
	}
	last := map[workerWeek]*ApprovalRow{}
	for i := range rows {
		k := workerWeek{rows[i].Worker, rows[i].Week}
		last[k] = &rows[i]
		if rows[i].Outcome == "withdrawn" {
			delete(last, k)
		}
	}
	return last, nil
}

// approvedBack is how far back changed weeks are looked for: beyond it the
// closed months stand.
const approvedBack = 26 * 7

// findChangedWeeks: approved weeks that are no longer what was approved.
func findChangedWeeks(x *looking) ([]Exception, error) {
	approved, err := x.tx.approvals(x.ctx, "week >= ?", (x.day - approvedBack).String())
	if err != nil {
		return nil, err
	}
	workers := map[Day][]string{}
	for k := range approved {
		workers[k.week] = append(workers[k.week], k.worker)
	}
	var list []Exception
	for week, of := range workers {
		monday, err := week.Date()
		if err != nil {
			return nil, err
		}
		slices.Sort(of)
		hours, err := x.tx.weekHours(x.snap, monday, x.now, of)
		if err != nil {
			return nil, err
		}
		for _, worker := range of {
			w := hours[worker]
			if w == nil {
				w = &WeekHours{Worker: worker, Week: monday, Digest: digest(nil)}
			}
			if w.Approved = approved[workerWeek{worker, week}]; w.Changed() {
				list = append(list, x.changedWeek(w))
			}
		}
	}
	return list, nil
}

func (x *looking) changedWeek(w *WeekHours) Exception {
	return Exception{
		ID: w.Worker + "/" + w.Week.String() + "/" + w.Digest[:12], At: w.Week.At(0, x.snap.Yard.Zone), Worker: w.Worker,
		What: fmt.Sprintf("The week of %s was approved by %s and has changed since: ordinary %+d s, overtime %+d s, double %+d s.",
			w.Week, w.Approved.Who, w.Ordinary-w.Approved.Ordinary, w.Overtime-w.Approved.Overtime, w.Double-w.Approved.Double),
		Ask: "Look at the week and approve it anew.",
	}
}
