package models

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Answer is what a station is told about a read.
type Answer struct {
	ID      string
	Outcome clock.Outcome
	Code    string // a stable word that the floor's languages translate
	Say     string // the same in English, with names
	Needs   []string
	Heard   HeardName
	Known   bool // the read had been taken in before
	Wait    *HoldWait
}

// aheadBy is how far a read's instant may lie past its receipt before a person
// should look at the station's clock.
const aheadBy = costing.Instant(10 * 60 * 1000)

// record takes reads in: it stores them, extends the stations' sentences,
// stores the entries they make and computes what those touch. A read that is
// known already is answered as it was and does nothing.
func (tx *Tx) record(ctx context.Context, reads []ReadRow, received costing.Instant) ([]Answer, error) {
	snap, err := tx.Snapshot(ctx)
	if err != nil {
		return nil, err
	}
	known, err := tx.knownReads(reads)
	if err != nil {
		return nil, err
	}
	h := &hearing{tx: tx, ctx: ctx, snap: snap, fresh: map[string]bool{}, made: map[string]*clock.Entry{}}
	byStation := map[string][]*readRecord{}
	answers := make([]Answer, len(reads))
	records := make([]*readRecord, len(reads))
	for i := range reads {
		id := strings.ToLower(reads[i].ID)
		if r := known[id]; r != nil {
			records[i], answers[i].Known = r, true
			continue
		}
		r := &readRecord{
			ID: id, Station: reads[i].Station, N: reads[i].N, AtMs: reads[i].At, Payload: reads[i].Payload, ReceivedMs: received,
			Flag: reads[i].Flag,
		}
		if r.AtMs > received+aheadBy {
			r.Flag = "ahead of the clock"
		}
		records[i], known[id], h.fresh[id] = r, r, true
		h.reads = append(h.reads, r)
		byStation[r.Station] = append(byStation[r.Station], r)
	}
	if len(h.reads) > 0 {
		if err := h.all(byStation); err != nil {
			return nil, err
		}
		if err := h.settle(); err != nil {
			return nil, err
		}
	}
	for i, r := range records {
		if r.Station != reads[i].Station {
			answers[i] = notYours(reads[i].ID)
			continue
		}
		answers[i] = snap.answer(r, answers[i].Known)
		if answers[i].Wait, err = tx.waitOf(snap, r); err != nil {
			return nil, err
		}
	}
	return answers, nil
}

func (tx *Tx) knownReads(reads []ReadRow) (map[string]*readRecord, error) {
	ids := make([]string, len(reads))
	for i := range reads {
		ids[i] = strings.ToLower(reads[i].ID)
	}
	known := map[string]*readRecord{}
	for part := range slices.Chunk(ids, 1000) {
		var rows []*readRecord
		if err := tx.DB.Find(&rows, "id IN ?", part).Error; err != nil {
			return nil, err
		}
		for _, r := range rows {
			known[r.ID] = r
		}
	}
	return known, nil
}

// all hears the new reads station by station.
func (h *hearing) all(byStation map[string][]*readRecord) error {
	names := slices.Sorted(maps.Keys(byStation))
	var rows []stationHead
	if err := h.tx.DB.Find(&rows, "station IN ?", names).Error; err != nil {
		return err
	}
	heads := map[string]*stationHead{}
	for i := range rows {
		heads[rows[i].Station] = &rows[i]
	}
	for _, name := range names {
		slices.SortFunc(byStation[name], compareRecords)
		if err := h.station(name, byStation[name], heads[name]); err != nil {
			return fmt.Errorf("station %s: %w", name, err)
		}
	}
	return nil
}

// settle stores what was heard and computes what it touches.
func (h *hearing) settle() error {
	if err := h.store(); err != nil {
		return err
	}
	d := newDerived(h.ctx, h.tx, h.snap)
	l, s := newLabour(d), newStores(d)
	changed := map[string]bool{}
	for _, e := range h.lost {
		changed[e.ID] = true
		l.entry(e, true)
		s.entry(e, true)
	}
	for id, e := range h.made {
		l.entry(e, changed[id])
		s.entry(e, changed[id])
	}
	if err := l.run(); err != nil {
		return err
	}
	if err := s.run(); err != nil {
		return err
	}
	return d.flush()
}

// store writes reads, entries and the stations' contexts.
func (h *hearing) store() error {
	if err := h.tx.insertReads(h.ctx, h.reads); err != nil {
		return fmt.Errorf("writing reads: %w", err)
	}
	for _, r := range h.again {
		err := h.tx.DB.Exec("UPDATE reads SET outcome = ?, code = ?, detail = ?, flag = ? WHERE id = ?",
			string(r.Outcome), r.Code, r.Detail, r.Flag, r.ID).Error
		if err != nil {
			return err
		}
	}
	for _, e := range h.lost {
		if err := h.tx.DB.Exec("DELETE FROM entries WHERE id = ?", e.ID).Error; err != nil {
			return err
		}
	}
	if err := h.tx.insertEntries(h.ctx, h.made); err != nil {
		return fmt.Errorf("writing entries: %w", err)
	}
	return h.tx.writeHeads(h.ctx, h.heads)
}

func (tx *Tx) insertReads(ctx context.Context, reads []*readRecord) error {
	n := len(reads)
	id, station, payload, flag := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	outcome, code, detail := make([]string, n), make([]string, n), make([]string, n)
	num, at, received := make([]int64, n), make([]int64, n), make([]int64, n)
	for i, r := range reads {
		id[i], station[i], payload[i], flag[i] = r.ID, r.Station, r.Payload, r.Flag
		outcome[i], code[i], detail[i] = string(r.Outcome), r.Code, r.Detail
		num[i], at[i], received[i] = r.N, int64(r.AtMs), int64(r.ReceivedMs)
	}
	return tx.Insert(ctx, "reads", "", Column{"id", id}, Column{"station", station}, Column{"n", num}, Column{"at_ms", at},
		Column{"payload", payload}, Column{"received_ms", received}, Column{"flag", flag}, Column{"outcome", outcome},
		Column{"code", code}, Column{"detail", detail})
}

func (tx *Tx) insertEntries(ctx context.Context, made map[string]*clock.Entry) error {
	ids := slices.Sorted(maps.Keys(made))
	n := len(ids)
	station, kind, worker, crew := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	job, indirect, lot, voided, detail := make([]string, n), make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	minutes := make([]int64, n)
	at, num, quantity, percent, voidedAt := make([]int64, n), make([]int64, n), make([]int64, n), make([]int64, n), make([]int64, n)
	for i, id := range ids {
		e := made[id]
		station[i], kind[i], worker[i], crew[i] = e.Station, string(e.Kind), e.Worker, e.Crew
		job[i], indirect[i], lot[i], voided[i], detail[i], minutes[i] = e.Job, e.Indirect, e.Lot, e.VoidedBy, e.Detail, int64(e.Minutes)
		at[i], num[i], quantity[i], percent[i], voidedAt[i] = int64(e.At), e.N, int64(e.Quantity), int64(e.Percent), int64(e.VoidedAt)
	}
	return tx.Insert(ctx, "entries", "", Column{"id", ids}, Column{"at_ms", at}, Column{"station", station}, Column{"n", num},
		Column{"kind", kind}, Column{"worker", worker}, Column{"crew", crew}, Column{"job", job}, Column{"indirect", indirect},
		Column{"lot", lot}, Column{"quantity", quantity}, Column{"percent", percent}, Column{"detail", detail}, Column{"minutes", minutes}, Column{"voided_by", voided},
		Column{"voided_at_ms", voidedAt})
}

func (tx *Tx) writeHeads(ctx context.Context, heads []stationHead) error {
	n := len(heads)
	station, id, text := make([]string, n), make([]string, n), make([]string, n)
	at, num := make([]int64, n), make([]int64, n)
	for i, h := range heads {
		station[i], id[i], text[i], at[i], num[i] = h.Station, h.ReadID, h.Context, int64(h.AtMs), h.N
	}
	return tx.Insert(ctx, "station_heads", "ON CONFLICT (station) DO UPDATE SET at_ms = excluded.at_ms, n = excluded.n, "+
		"read_id = excluded.read_id, context = excluded.context",
		Column{"station", station}, Column{"at_ms", at}, Column{"n", num}, Column{"read_id", id}, Column{"context", text})
}
