package models

import (
	"cmp"

	"hulltally/costing"
)

// stretchPage is how many stored reads are fetched at a time.
const stretchPage = 500

// stretch is what a station sent between two silences: stored reads and fresh
// ones in order.
type stretch struct {
	tx      *Tx
	station string
	gap     costing.Instant // a silence is longer than this
	fresh   []*readRecord   // sorted; those of the stretch are taken off

	reads []*readRecord
	last  bool        // nothing was sent after the stretch
	seen  *readRecord // the last one fetched
}

// collect fills the stretch around the first fresh read.
func (s *stretch) collect() error {
	end, err := s.begin()
	if err != nil {
		return err
	}
	stored, err := s.page("at_ms >= ?", end)
	if err != nil {
		return err
	}
	more := len(stored) == stretchPage
	for {
		if len(stored) == 0 && more {
			if stored, err = s.page("(at_ms, n, id) > (?, ?, ?)", s.seen.AtMs, s.seen.N, s.seen.ID); err != nil {
				return err
			}
			more = len(stored) == stretchPage
		}
		var next *readRecord
		fromStore := len(stored) > 0 && (len(s.fresh) == 0 || compareRecords(stored[0], s.fresh[0]) < 0)
		switch {
		case fromStore:
			next = stored[0]
		case len(s.fresh) > 0:
			next = s.fresh[0]
		default:
			s.last = true
			return nil
		}
		if next.AtMs > end+s.gap {
			return nil
		}
		end = next.AtMs
		s.reads = append(s.reads, next)
		if fromStore {
			stored = stored[1:]
		} else {
			s.fresh = s.fresh[1:]
		}
	}
}

// begin finds the first instant of the stretch: back from the first fresh read
// as long as no silence lies between.
func (s *stretch) begin() (costing.Instant, error) {
	start := s.fresh[0].AtMs
	for {
		var at []costing.Instant
		err := s.tx.DB.Model(&readRecord{}).Where("station = ? AND at_ms < ?", s.station, start).
			Order("at_ms DESC").Limit(stretchPage).Pluck("at_ms", &at).Error
		if err != nil {
			return 0, err
		}
		for _, t := range at {
			if start-t > s.gap {
				return start, nil
			}
			start = t
		}
		if len(at) < stretchPage {
			return start, nil
		}
	}
}

// page fetches stored reads of the station in order.
func (s *stretch) page(where string, args ...any) (rows []*readRecord, err error) {
	err = s.tx.DB.Where("station = ?", s.station).Where(where, args...).
		Order("at_ms, n, id").Limit(stretchPage).Find(&rows).Error
	if len(rows) > 0 {
		s.seen = rows[len(rows)-1]
	}
	return rows, err
}

// compareRecords orders a station's reads by (instant, n).
func compareRecords(a, b *readRecord) int {
	return cmp.Or(cmp.Compare(a.AtMs, b.AtMs), cmp.Compare(a.N, b.N), cmp.Compare(a.ID, b.ID))
}
