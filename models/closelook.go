package models

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// look lists what is open, provisional or flagged in a month about to be closed.
func (tx *Tx) look(ctx context.Context, c *Closing) error {
	f := c.Figures
	open, provisional, noRate := 0, 0, map[string]int64{}
	err := tx.Pieces(f, c.Period.First(), f.Day, func(p *clock.Piece) error {
		if p.Provisional {
			provisional++
		}
		if p.NoRate {
			noRate[p.Worker] += p.Seconds
		}
		return nil
	})
	if err != nil {
		return err
	}
	workers := map[string]bool{}
	for i := range f.Running {
		workers[f.Running[i].Worker] = true
	}
	open = len(workers)
	note := func(n int, format string, args ...any) {
		if n > 0 {
			c.Look = append(c.Look, fmt.Sprintf(format, args...))
		}
	}
	note(open, "bookings of the month that nobody has ended: %d; they are accrued up to its last midnight", open)
	note(provisional, "provisional pieces of time: %d; a correction settles them", provisional)
	for _, w := range slices.Sorted(maps.Keys(noRate)) {
		note(1, "worker %s has no rate for %d s: costed at nought until rates.csv has one", w, noRate[w])
	}
	var flagged, refused int
	end := f.At
	start := c.Period.First().At(0, f.Yard.Zone)
	err = tx.DB.WithContext(ctx).Raw("SELECT COUNT(*) FROM reads WHERE at_ms >= ? AND at_ms <= ? AND flag <> ''", start, end).Row().Scan(&flagged)
	if err != nil {
		return err
	}
	note(flagged, "flagged reads of the month: %d; see the stations", flagged)
	err = tx.DB.WithContext(ctx).Raw("SELECT COUNT(*) FROM reads WHERE at_ms >= ? AND at_ms <= ? AND code IN ('unknown_code', 'unknown_station')", start, end).
		Row().Scan(&refused)
	if err != nil {
		return err
	}
	note(refused, "reads that named nothing the yard knows: %d", refused)
	var over []string
	for _, b := range f.Books {
		for lot, shelf := range b.Lots {
			if shelf.Closing() < 0 {
				over = append(over, lot)
			}
		}
	}
	slices.Sort(over)
	for _, lot := range over {
		note(1, "lot %s: more was issued than it held: count it", lot)
	}
	waiting := 0
	for _, ch := range f.Yard.Changes {
		if ch.Status != costing.Agreed && ch.Status != "declined" {
			waiting++
		}
	}
	note(waiting, "change orders asked for or quoted, and not agreed: %d", waiting)
	return nil
}
