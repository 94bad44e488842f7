package models

import (
	"fmt"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// findOverridden: bookings begun on a job that should still have waited, as far
// as sign-offs were known then.
func findOverridden(x *looking) ([]Exception, error) {
	holds := x.snap.Yard.JobHolds
	if len(holds) == 0 {
		return nil, nil
	}
	jobs := slices.Sorted(maps.Keys(holds))
	var pieces []clock.Piece
	for part := range slices.Chunk(jobs, 500) {
		stored, err := x.tx.storedPieces("job IN ? AND date >= ?", part, (x.day - deskBack).String())
		if err != nil {
			return nil, err
		}
		for _, ps := range stored {
			pieces = append(pieces, ps...)
		}
	}
	running, err := x.running()
	if err != nil {
		return nil, err
	}
	for i := range running {
		if holds[running[i].Job] != nil {
			pieces = append(pieces, running[i])
		}
	}
	var list []Exception
	for id, s := range spells(pieces, func(p *clock.Piece) string { return p.Worker + "/" + p.Opened }) {
		at := costing.Instant(s.Start * 1000)
		waits, err := x.tx.waits(x.snap, s.Job, at)
		if err != nil {
			return nil, err
		}
		if len(waits) == 0 {
			continue
		}
		w := x.snap.holdWait(&waits[len(waits)-1], at)
		what := fmt.Sprintf("Begun at %s, though %s was not signed off (%s).", x.snap.clockTime(s.Start), w.Job, HoldName(w.Kind))
		if w.Begun {
			what = fmt.Sprintf("Begun at %s, %s before the hold of %s was over (%s, until %s).", x.snap.clockTime(s.Start),
				hoursMinutes(w.Left), w.Job, HoldName(w.Kind), x.snap.dayTime(w.Until))
		}
		list = append(list, Exception{
			ID: id, At: at, Worker: s.Worker, Job: s.Job, Station: s.Station, What: what,
			Ask: "Look at the part; the maker's data sheet and the yard's own procedure decide. Say why it may stand.",
		})
	}
	return list, nil
}
