package models

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// EntryOf is an entry that a posting came from.
type EntryOf struct {
	*clock.Entry
	Who, Why string // of a correction
}

// entriesBehind finds the entries that postings came from.
func (tx *Tx) entriesBehind(ps []costing.Posting) (map[string]*EntryOf, error) {
	var ids []string
	for i := range ps {
		ids = append(ids, ps[i].Source)
	}
	slices.Sort(ids)
	found := map[string]*EntryOf{}
	for part := range slices.Chunk(slices.Compact(ids), 1000) {
		var rows []entryRecord
		if err := tx.DB.Find(&rows, "id IN ?", part).Error; err != nil {
			return nil, err
		}
		for i := range rows {
			found[rows[i].ID] = &EntryOf{Entry: rows[i].entry()}
		}
	}
	return found, nil
}

// HeardRead is a raw read, what it meant and what became of it.
type HeardRead struct {
	ReadRow
	Received costing.Instant
	Flag     string
	Outcome  clock.Outcome
	Code     string
	Meant    Heard
	Named    string // what was scanned, by name
	Made     bool   // it completed the entry looked at
}

// EntryStory is an entry with all that came of it, and where it came from.
type EntryStory struct {
	Entry  *EntryOf
	Pieces []clock.Piece // of the bookings that it opened
	Reads  []HeardRead   // what the station sent around it
}

// around is how long before and after an entry its station's reads are shown.
const around = costing.Instant(2 * 60 * 1000)

// EntryStory tells of one entry as of the figures. Of a crew's entry the
// pieces are those of every member.
func (tx *Tx) EntryStory(ctx context.Context, f *Figures, id string) (*EntryStory, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	e, err := tx.entryOf(snap, id)
	if err != nil {
		return nil, err
	}
	s := &EntryStory{Entry: e}
	if s.Pieces, err = tx.piecesOpenedBy(f, e); err != nil {
		return nil, err
	}
	if e.Correction {
		return s, nil
	}
	var rows []*readRecord
	err = tx.DB.Where("station = ? AND at_ms >= ? AND at_ms <= ?", e.Station, e.At-around, e.At+around).
		Order("at_ms, n, id").Limit(200).Find(&rows).Error
	for _, r := range rows {
		meant := snap.Resolve(r.Payload, r.AtMs)
		s.Reads = append(s.Reads, HeardRead{
			ReadRow:  ReadRow{ID: r.ID, Station: r.Station, N: r.N, At: r.AtMs, Payload: r.Payload},
			Received: r.ReceivedMs, Flag: r.Flag, Outcome: r.Outcome, Code: r.Code,
			Meant: meant, Named: snap.name(string(meant.Kind), meant.Key), Made: r.ID == id,
		})
	}
	return s, err
}

// entryOf finds an entry or a correction by id.
func (tx *Tx) entryOf(snap *Snapshot, id string) (*EntryOf, error) {
	for _, list := range snap.Corrections {
		for _, c := range list {
			if c.ID == id {
				e := &clock.Entry{ID: id, At: c.At, Correction: true, Worker: c.Worker, Job: c.Job, Indirect: c.Indirect, Kind: clock.ClockOn}
				if c.Off {
					e.Kind = clock.ClockOff
				}
				return &EntryOf{e, c.Who, c.Why}, nil
			}
		}
	}
	var rows []entryRecord
	if err := tx.DB.Limit(1).Find(&rows, "id = ?", strings.ToLower(id)).Error; err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, Errorf(NotFound, "there is no booking or issue with this number: it may have been taken back")
	}
	return &EntryOf{Entry: rows[0].entry()}, nil
}

func (tx *Tx) piecesOpenedBy(f *Figures, e *EntryOf) ([]clock.Piece, error) {
	var list []clock.Piece
	id, pieces := e.ID, f.pieces
	if !f.derived {
		workers := []string{e.Worker}
		if crew := f.Yard.Crews[e.Crew]; crew != nil {
			workers = crew.Members
		}
		// Worker and day are what pieces are found by quickly; rounding may put
		// the first of them on the day before.
		day := costing.DateOf(e.At, f.Yard.Zone) - 1
		stored, err := tx.storedPieces("opened = ? AND worker IN ? AND date >= ?", id, workers, day.String())
		if err != nil {
			return nil, err
		}
		for _, l := range stored {
			list = append(list, l...)
		}
		pieces = f.Running
	}
	for i := range pieces {
		if pieces[i].Opened == id {
			list = append(list, pieces[i])
		}
	}
	slices.SortFunc(list, func(a, b clock.Piece) int {
		return cmp.Or(cmp.Compare(a.Worker, b.Worker), cmp.Compare(a.Start, b.Start))
	})
	return list, nil
}

// WorkerWeek lists the pieces of one worker's ISO week, in order.
func (tx *Tx) WorkerWeek(f *Figures, worker string, monday costing.Date) ([]clock.Piece, error) {
	if f.Yard.Workers[worker] == nil {
		return nil, Errorf(NotFound, "there is no worker %q", worker)
	}
	var list []clock.Piece
	err := tx.Pieces(f, monday, monday+6, func(p *clock.Piece) error {
		if p.Worker == worker {
			list = append(list, *p)
		}
		return nil
	})
	slices.SortFunc(list, func(a, b clock.Piece) int { return cmp.Compare(a.Start, b.Start) })
	return list, err
}

func compareLabourDays(a, b labourDayKey) int {
	return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.job, b.job), cmp.Compare(a.grade, b.grade))
}
