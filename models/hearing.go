package models

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// readRecord is a stored read with what it did.
type readRecord struct {
	ID         string          `gorm:"primaryKey"`
	Station    string          //
	N          int64           //
	AtMs       costing.Instant //
	Payload    string          // as sent
	ReceivedMs costing.Instant //
	Flag       string          // why a person should look at it
	Outcome    clock.Outcome   //
	Code       string          //
	Detail     string          //
}

func (readRecord) TableName() string { return "reads" }

// entryRecord is a stored entry.
type entryRecord struct {
	ID         string `gorm:"primaryKey"`
	AtMs       costing.Instant
	Station    string
	N          int64
	Kind       clock.EntryKind
	Worker     string
	Crew       string
	Job        string
	Indirect   string
	Lot        string
	Quantity   costing.Quantity
	Percent    int
	Detail     string
	Minutes    costing.Quantity
	VoidedBy   string
	VoidedAtMs costing.Instant
}

func (entryRecord) TableName() string { return "entries" }

func (r *entryRecord) entry() *clock.Entry {
	return &clock.Entry{
		ID: r.ID, At: r.AtMs, Station: r.Station, N: r.N, Kind: r.Kind, Worker: r.Worker, Crew: r.Crew,
		Job: r.Job, Indirect: r.Indirect, Lot: r.Lot, Quantity: r.Quantity, Percent: r.Percent, Detail: r.Detail, Minutes: r.Minutes,
		VoidedBy: r.VoidedBy, VoidedAt: r.VoidedAtMs,
	}
}

func entriesOf(rows []entryRecord) []*clock.Entry {
	list := make([]*clock.Entry, len(rows))
	for i := range rows {
		list[i] = rows[i].entry()
	}
	return list
}

// stationHead is where a station's sentence stands.
type stationHead struct {
	Station string `gorm:"primaryKey"`
	AtMs    costing.Instant
	N       int64
	ReadID  string
	Context string
}

func (stationHead) TableName() string { return "station_heads" }

// hearing extends the sentences of the stations that a set of reads came from.
type hearing struct {
	tx    *Tx
	ctx   context.Context
	snap  *Snapshot
	fresh map[string]bool         // ids of the reads that are new
	reads []*readRecord           // new ones, with what they did
	again []*readRecord           // stored ones that now read otherwise
	made  map[string]*clock.Entry // new entries by id
	lost  []*clock.Entry          // stored entries that are no more, or no more so
	heads []stationHead
}

// station hears a station's new reads, sorted, on from where it stood; or, when
// they come late, again from the last silence before them.
func (h *hearing) station(name string, reads []*readRecord, head *stationHead) error {
	first := reads[0]
	if head != nil && !after(first, head) {
		return h.late(name, reads)
	}
	c := clock.Context{}
	if head != nil {
		if err := json.Unmarshal([]byte(head.Context), &c); err != nil {
			return fmt.Errorf("the context of station %s: %w", name, err)
		}
	}
	for _, r := range reads {
		h.hear(&c, r)
	}
	return h.stop(name, reads[len(reads)-1], &c)
}

func after(r *readRecord, head *stationHead) bool {
	switch {
	case r.AtMs != head.AtMs:
		return r.AtMs > head.AtMs
	case r.N != head.N:
		return r.N > head.N
	}
	return r.ID > head.ReadID
}

func (h *hearing) stop(name string, last *readRecord, c *clock.Context) error {
	text, err := json.Marshal(c)
	h.heads = append(h.heads, stationHead{name, last.AtMs, last.N, last.ID, string(text)})
	return err
}

// hear extends a context by one read, and notes what it did.
func (h *hearing) hear(c *clock.Context, r *readRecord) clock.Result {
	heard := h.snap.Resolve(r.Payload, r.AtMs)
	res := c.Hear(h.snap.Yard, &clock.Read{
		ID: r.ID, Station: r.Station, N: r.N, At: r.AtMs, Payload: heard.Payload, Token: heard.Token,
	})
	r.Outcome, r.Code, r.Detail = res.Outcome, res.Code, res.Detail
	if heard.Layout != "" && r.Flag == "" {
		r.Flag = "keyboard " + heard.Layout
	}
	if res.Entry != nil {
		h.made[r.ID] = res.Entry
	}
	if res.Voids != "" {
		h.void(res.Voids, r)
	}
	return res
}

// void takes an entry back, whether it is of this hearing or stored already.
func (h *hearing) void(id string, by *readRecord) {
	if e := h.made[id]; e != nil {
		e.VoidedBy, e.VoidedAt = by.ID, by.AtMs
		return
	}
	var row entryRecord
	if h.tx.DB.Take(&row, "id = ?", id).Error != nil {
		return // cannot be: what a station did last is stored
	}
	stored := row.entry()
	h.lost = append(h.lost, stored)
	e := *stored
	e.VoidedBy, e.VoidedAt = by.ID, by.AtMs
	h.made[id] = &e
}

// late hears stretches of a station anew: each from the last silence before a
// new read to the first one after it, beyond which nothing can change.
func (h *hearing) late(name string, fresh []*readRecord) error {
	for len(fresh) > 0 {
		s := stretch{tx: h.tx, station: name, gap: h.silence(), fresh: fresh}
		if err := s.collect(); err != nil {
			return err
		}
		if err := h.rehear(name, s.reads, s.last); err != nil {
			return err
		}
		fresh = s.fresh
	}
	return nil
}

// rehear hears one stretch from silence; last says that the station has
// nothing after it.
func (h *hearing) rehear(name string, stretch []*readRecord, last bool) error {
	ids := make([]string, 0, len(stretch))
	for _, r := range stretch {
		if !h.fresh[r.ID] {
			ids = append(ids, r.ID)
		}
	}
	stored, err := h.stored(ids)
	if err != nil {
		return err
	}
	c := clock.Context{}
	for _, r := range stretch {
		was := *r
		h.hear(&c, r)
		if !h.fresh[r.ID] && *r != was {
			h.again = append(h.again, r)
		}
	}
	for _, id := range ids {
		switch was, is := stored[id], h.made[id]; {
		case was == nil:
		case is == nil:
			h.lost = append(h.lost, was)
		case *was == *is:
			delete(h.made, id)
		default:
			h.lost = append(h.lost, was)
		}
	}
	if last {
		return h.stop(name, stretch[len(stretch)-1], &c)
	}
	return nil
}

func (h *hearing) stored(ids []string) (map[string]*clock.Entry, error) {
	found := map[string]*clock.Entry{}
	for part := range slices.Chunk(ids, 1000) {
		var rows []entryRecord
		if err := h.tx.DB.Find(&rows, "id IN ?", part).Error; err != nil {
			return nil, err
		}
		for i := range rows {
			found[rows[i].ID] = rows[i].entry()
		}
	}
	return found, nil
}

// silence is how long a station must be quiet for nothing to carry over, in
// milliseconds: the longest scan gap of any time, the undo and the bounce.
func (h *hearing) silence() costing.Instant {
	longest := max(costing.DefaultScanGap, clock.UndoWithin, clock.BounceWithin)
	for _, v := range h.snap.Yard.Policy.ScanGap {
		longest = max(longest, v.Value)
	}
	return costing.Instant(longest / time.Millisecond)
}
