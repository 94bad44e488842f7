package models

import (
	"context"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// DeskDeed is something done with stock at a station, or a read that was refused.
type DeskDeed struct {
	ID       string // of the read
	At       costing.Instant
	Outcome  clock.Outcome
	Code     string // of a refusal
	Payload  string // of a refusal
	Kind     clock.EntryKind
	Who, Job string
	Lot      string
	Item     *costing.Item
	Quantity costing.Quantity
	Undone   bool
	Reason   string
	Unsaid   string // the kind of reason that is missing, if one is
}

// DeskDay lists what was done at a station on the local day of an instant, the
// last first, no more than most.
func (tx *Tx) DeskDay(ctx context.Context, station string, now costing.Instant, most int) ([]DeskDeed, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	day := costing.DateOf(now, snap.Yard.Zone)
	from, to := day.At(0, snap.Yard.Zone), (day+1).At(0, snap.Yard.Zone)
	var reads []readRecord
	err = tx.DB.WithContext(ctx).Order("at_ms DESC, n DESC, id DESC").Limit(most).
		Find(&reads, "station = ? AND at_ms >= ? AND at_ms < ? AND (outcome = 'refused' OR code IN ('did_issue', 'did_return', 'did_waste', 'did_scrap'))",
			station, from, to).Error
	if err != nil || len(reads) == 0 {
		return nil, err
	}
	entries, err := tx.entriesOfReads(ctx, reads)
	if err != nil {
		return nil, err
	}
	reasons, err := tx.reasonsBetween(ctx, from, to)
	if err != nil {
		return nil, err
	}
	list := make([]DeskDeed, len(reads))
	for i := range reads {
		r := &reads[i]
		list[i] = DeskDeed{ID: r.ID, At: r.AtMs, Outcome: r.Outcome, Code: r.Code, Payload: r.Payload}
		if e := entries[r.ID]; e != nil {
			list[i].fill(snap.Yard, e, reasons)
		}
	}
	return list, nil
}

func (d *DeskDeed) fill(y *costing.Yard, e *entryRecord, reasons map[reasonKey]string) {
	d.Kind, d.Who, d.Job, d.Lot, d.Quantity, d.Undone = e.Kind, e.Worker, e.Job, e.Lot, e.Quantity, e.VoidedBy != ""
	l := y.Lots[e.Lot]
	if l == nil {
		return
	}
	d.Item = y.Items[l.Item]
	kind := asksReason(y, l, e)
	d.Reason = reasons[reasonKey{e.Station, e.AtMs, e.Lot, kind}]
	if kind != "" && d.Reason == "" && !d.Undone {
		d.Unsaid = kind
	}
}

// asksReason is the kind of reason that an entry needs, if any: a lot issued
// past its date, which is the last day it may be used, and what is written off.
func asksReason(y *costing.Yard, l *costing.Lot, e *entryRecord) string {
	switch {
	case e.Kind == clock.Scrapped:
		return ReasonScrap
	case e.Kind == clock.Issue && l.Expires != nil && costing.DateOf(e.AtMs, y.Zone) > *l.Expires:
		return ReasonExpired
	}
	return ""
}

func (tx *Tx) entriesOfReads(ctx context.Context, reads []readRecord) (map[string]*entryRecord, error) {
	ids := make([]string, len(reads))
	for i := range reads {
		ids[i] = reads[i].ID
	}
	var rows []entryRecord
	if err := tx.DB.WithContext(ctx).Find(&rows, "id IN ?", ids).Error; err != nil {
		return nil, err
	}
	list := map[string]*entryRecord{}
	for i := range rows {
		list[rows[i].ID] = &rows[i]
	}
	return list, nil
}

type reasonKey struct {
	station string
	at      costing.Instant
	lot     string
	kind    string
}

func (tx *Tx) reasonsBetween(ctx context.Context, from, to costing.Instant) (map[reasonKey]string, error) {
	var rows []StockReasonRow
	if err := tx.DB.WithContext(ctx).Table("stock_reasons").Find(&rows, "at_ms >= ? AND at_ms < ?", from, to).Error; err != nil {
		return nil, err
	}
	list := map[reasonKey]string{}
	for _, r := range rows {
		list[reasonKey{r.Station, r.At, r.Lot, r.Kind}] = r.Reason
	}
	return list, nil
}

// Unexplained is something done with stock that needs a reason and has none:
// for somebody to ask about. Giving the reason settles it.
type Unexplained struct {
	Entry   *clock.Entry
	Needs   string // the kind of reason
	Item    *costing.Item
	Expires *costing.Date
}

// Unexplained lists what was done between two instants without the reason it
// needs, in order.
func (tx *Tx) Unexplained(ctx context.Context, from, to costing.Instant) ([]Unexplained, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	var rows []entryRecord
	err = tx.DB.WithContext(ctx).Order("at_ms, station, n").
		Find(&rows, "at_ms >= ? AND at_ms < ? AND lot <> '' AND voided_by = '' AND kind IN ('issue', 'scrap')", from, to).Error
	if err != nil {
		return nil, err
	}
	reasons, err := tx.reasonsBetween(ctx, from, to)
	if err != nil {
		return nil, err
	}
	var list []Unexplained
	for i := range rows {
		r := &rows[i]
		l := snap.Yard.Lots[r.Lot]
		if l == nil {
			continue
		}
		if kind := asksReason(snap.Yard, l, r); kind != "" && reasons[reasonKey{r.Station, r.AtMs, r.Lot, kind}] == "" {
			list = append(list, Unexplained{r.entry(), kind, snap.Yard.Items[l.Item], l.Expires})
		}
	}
	return list, nil
}
