package models

import (
	"cmp"
	"context"
	"slices"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// AtWork is somebody who is on something now, as the team leader sees it.
type AtWork struct {
	OnFloor
	Crew, Hull string
	Forgotten  bool // past the longest that is believed, or past the shift's end and grace
}

// Expected is somebody whose shift it is and who is on nothing.
type Expected struct {
	Worker, Name, Crew string
	From, To           costing.Instant // of the shift
	Left               costing.Instant // they clocked off in it at; 0: not seen yet
}

// Floor tells who is on what, the longest first, and whom the shifts expect
// besides. It reads the database alone, so every server tells the same.
func (tx *Tx) Floor(ctx context.Context, now costing.Instant) (at []AtWork, missing []Expected, err error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, nil, err
	}
	var heads []workerFold
	if err := tx.DB.Table(headsTable).Order("worker").Find(&heads).Error; err != nil {
		return nil, nil, err
	}
	on, last := map[string]bool{}, map[string]costing.Instant{}
	for i := range heads {
		last[heads[i].Worker] = heads[i].LastAtMs
		if heads[i].IsOpen == 0 {
			continue
		}
		a, err := snap.atWork(&heads[i], now)
		if err != nil {
			return nil, nil, err
		}
		if a != nil {
			on[a.Worker] = !a.Forgotten
			at = append(at, *a)
		}
	}
	slices.SortFunc(at, func(a, b AtWork) int { return cmp.Or(cmp.Compare(a.Since, b.Since), cmp.Compare(a.Worker, b.Worker)) })
	for _, key := range sorted(snap.Yard.Workers) {
		w := snap.Yard.Workers[key]
		from, to, is := shiftNow(snap.Yard, w, now)
		if !is || on[key] || w.Name == removedName+key {
			continue
		}
		e := Expected{Worker: key, Name: w.Name, Crew: snap.name(string(clock.Crew), w.Crew), From: from, To: to}
		if last[key] >= from {
			e.Left = last[key]
		}
		missing = append(missing, e)
	}
	return at, missing, nil
}

func (s *Snapshot) atWork(head *workerFold, now costing.Instant) (*AtWork, error) {
	c, err := head.checkpoint()
	if err != nil {
		return nil, err
	}
	o, w := c.Fold.Open, s.Yard.Workers[head.Worker]
	if o == nil || w == nil || o.At > now {
		return nil, nil
	}
	pieces, err := runningPieces(s, []workerFold{*head}, now)
	if err != nil {
		return nil, err
	}
	a := &AtWork{OnFloor: OnFloor{Worker: w.Key, Name: w.Name, Kind: clock.Job, Key: o.Job, Station: o.Station, Since: o.At}}
	a.Crew = s.name(string(clock.Crew), w.Crew)
	a.Forgotten = slices.ContainsFunc(pieces, func(p clock.Piece) bool { return p.Provisional })
	longest := s.Yard.Policy.MaxBooking.Or(costing.DateOf(o.At, s.Yard.Zone), costing.DefaultMaxBooking)
	if time.Duration(now-o.At)*time.Millisecond > longest {
		a.Forgotten = true
	}
	if j := s.Yard.Jobs[o.Job]; j != nil {
		a.Doing = s.aboutJob(j.Stage, j.Part)
		for i, share := range j.Shares {
			if i > 0 {
				a.Hull += ", "
			}
			a.Hull += share.Hull
		}
	} else if o.Indirect != "" {
		a.Kind, a.Key, a.Doing = clock.Indirect, o.Indirect, s.name(string(clock.Indirect), o.Indirect)
	}
	return a, nil
}

// shiftNow is the shift of a worker that is on at an instant; on a holiday
// nobody is expected.
func shiftNow(y *costing.Yard, w *costing.Worker, now costing.Instant) (from, to costing.Instant, is bool) {
	shift := y.Shifts[w.Shift]
	if shift == nil {
		return 0, 0, false
	}
	today := costing.DateOf(now, y.Zone)
	for _, day := range []costing.Date{today - 1, today} {
		hours, works := shift.Hours[day.Weekday()]
		if _, holiday := y.Holidays[day]; !works || holiday {
			continue
		}
		if from, to = hours.On(day, y.Zone); from <= now && now < to {
			return from, to, true
		}
	}
	return 0, 0, false
}
