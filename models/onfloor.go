package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// OnFloor is somebody who is on a job or an indirect code.
type OnFloor struct {
	Worker, Name string
	Kind         clock.Kind // Job or Indirect
	Key          string
	Doing        string // what it is, in words
	Station      string // where they clocked on
	Since        costing.Instant
}

// OnFloor lists who is on what as a station sees it, the longest first: at a
// clock station those who clocked on there, at a stores station everybody at
// its place. A booking past the longest that is believed is a forgotten
// clock-off, and nobody is on it.
func (s *Store) OnFloor(ctx context.Context, station string, now costing.Instant) (list []OnFloor, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		here := snap.Yard.Stations[station]
		if here == nil {
			return Errorf(NotFound, "the station of this key is no longer in the yard: tell the office")
		}
		list, err = tx.onFloor(snap, here, now)
		return err
	})
	slices.SortFunc(list, func(a, b OnFloor) int {
		return cmp.Or(cmp.Compare(a.Since, b.Since), cmp.Compare(a.Worker, b.Worker))
	})
	return list, err
}

func (tx *Tx) onFloor(snap *Snapshot, here *costing.Station, now costing.Instant) ([]OnFloor, error) {
	var rows []workerFold
	if err := tx.DB.Table(headsTable).Find(&rows, "is_open = 1").Error; err != nil {
		return nil, err
	}
	var list []OnFloor
	for i := range rows {
		c, err := rows[i].checkpoint()
		if err != nil {
			return nil, err
		}
		o, w := c.Fold.Open, snap.Yard.Workers[rows[i].Worker]
		if o == nil || w == nil || !sees(snap.Yard, here, o.Station) {
			continue
		}
		longest := snap.Yard.Policy.MaxBooking.Or(costing.DateOf(o.At, snap.Yard.Zone), costing.DefaultMaxBooking)
		if now-o.At > costing.Instant(longest.Milliseconds()) {
			continue
		}
		on := OnFloor{Worker: w.Key, Name: w.Name, Kind: clock.Job, Key: o.Job, Station: o.Station, Since: o.At}
		if j := snap.Yard.Jobs[o.Job]; j != nil {
			on.Doing = snap.aboutJob(j.Stage, j.Part)
		} else if o.Indirect != "" {
			on.Kind, on.Key, on.Doing = clock.Indirect, o.Indirect, snap.name(string(clock.Indirect), o.Indirect)
		}
		list = append(list, on)
	}
	return list, nil
}

// sees reports whether a station shows who clocked on at another.
func sees(y *costing.Yard, here *costing.Station, at string) bool {
	if here.Kind == costing.ClockStation {
		return here.Key == at
	}
	st := y.Stations[at]
	return st != nil && st.Place == here.Place
}
