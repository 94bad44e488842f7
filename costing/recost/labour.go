package recost

import (
	"cmp"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Checkpoint is a worker's fold after all entries of one ISO week. A worker's
// checkpoints are where folding anew may start from.
type Checkpoint struct {
	Week costing.Date // Monday of the week of the entries
	Last OrderKey     // of the last entry folded
	Fold clock.Fold
}

// OrderKey is where an entry stands in its order.
type OrderKey struct {
	At         costing.Instant
	Correction bool
	Station    string
	N          int64
	ID         string
}

// KeyOf is the order key of an entry.
func KeyOf(e *clock.Entry) OrderKey { return OrderKey{e.At, e.Correction, e.Station, e.N, e.ID} }

// Before orders keys as entries are ordered.
func (k OrderKey) Before(o OrderKey) bool { return k.compare(o) < 0 }

func (k OrderKey) compare(o OrderKey) int {
	return cmp.Or(cmp.Compare(k.At, o.At), boolRank(k.Correction)-boolRank(o.Correction),
		cmp.Compare(k.Station, o.Station), cmp.Compare(k.N, o.N), cmp.Compare(k.ID, o.ID))
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Labour folds a worker's entries from a checkpoint on, week by week. Entries
// are sorted and corrected (clock.Corrected). Each week that has entries is
// handed to done with the pieces that its entries ended; done says whether to
// go on.
func Labour(y *costing.Yard, w *costing.Worker, from clock.Fold, entries []*clock.Entry,
	done func(c Checkpoint, pieces []clock.Piece) (bool, error),
) error {
	var pieces []clock.Piece
	cw := clock.NewClockwork(y, func(p *clock.Piece) error {
		pieces = append(pieces, *p)
		return nil
	})
	fold := from
	for i := 0; i < len(entries); {
		monday := costing.DateOf(entries[i].At, y.Zone).Monday()
		end := (monday + 7).At(0, y.Zone)
		pieces = pieces[:0]
		for ; i < len(entries) && entries[i].At < end; i++ {
			if err := cw.Apply(&fold, w, entries[i]); err != nil {
				return err
			}
		}
		more, err := done(Checkpoint{monday, KeyOf(entries[i-1]), *fold.Clone()}, pieces)
		if err != nil || !more {
			return err
		}
	}
	return nil
}

// Running is the pieces of a worker's open booking counted up to an instant.
func Running(y *costing.Yard, w *costing.Worker, fold clock.Fold, now costing.Instant) ([]clock.Piece, error) {
	var pieces []clock.Piece
	cw := clock.NewClockwork(y, func(p *clock.Piece) error {
		pieces = append(pieces, *p)
		return nil
	})
	err := cw.Until(fold.Clone(), w, now)
	return pieces, err
}

// ByWorker deals clock entries out to the workers they concern: a crew's to
// each of its members. Each list is sorted.
func ByWorker(y *costing.Yard, entries []*clock.Entry) map[string][]*clock.Entry {
	lists := map[string][]*clock.Entry{}
	for _, e := range entries {
		if e.Kind != clock.ClockOn && e.Kind != clock.ClockOff {
			continue
		}
		if e.Crew == "" {
			lists[e.Worker] = append(lists[e.Worker], e)
			continue
		}
		if crew := y.Crews[e.Crew]; crew != nil {
			for _, m := range crew.Members {
				lists[m] = append(lists[m], e)
			}
		}
	}
	for _, l := range lists {
		slices.SortFunc(l, clock.Compare)
	}
	return lists
}
