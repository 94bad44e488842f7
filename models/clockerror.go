package models

import (
	"context"

	"hulltally/costing"
)

// ClockLook is a station's clock as it sent a batch, and ours as we got it.
type ClockLook struct {
	Station        string
	Sent, Received costing.Instant
}

// Error is how far the station's clock was ahead of ours, in milliseconds; below
// nought it was behind.
func (c *ClockLook) Error() int64 { return int64(c.Sent - c.Received) }

// recordClocks keeps how far off each sender's clock was, with its reads.
func (tx *Tx) recordClocks(ctx context.Context, batch []*submission) error {
	var station []string
	var sent, received, off, count []int64
	for _, s := range batch {
		if s.clock == nil {
			continue
		}
		station = append(station, s.clock.Station)
		sent, received = append(sent, int64(s.clock.Sent)), append(received, int64(s.clock.Received))
		off, count = append(off, s.clock.Error()), append(count, int64(len(s.reads)))
	}
	return tx.Insert(ctx, "clock_errors", "", Column{"station", station}, Column{"sent_ms", sent}, Column{"received_ms", received},
		Column{"error_ms", off}, Column{"read_count", count})
}

// StationClock is how right a station's clock was of late.
type StationClock struct {
	Station  string
	AtMs     costing.Instant // of the last batch
	ErrorMs  int64           // then; above nought it was ahead
	WorstMs  int64           // the largest error since
	Batches  int64
	ReadsOff int64 // reads of batches whose error was beyond what is believed
}

// StationClocks tells of each station that sent anything since an instant how
// right its clock was. beyond is the error from which reads are flagged, in ms.
func (s *Store) StationClocks(ctx context.Context, since costing.Instant, beyond int64) (clocks map[string]*StationClock, err error) {
	clocks = map[string]*StationClock{}
	err = s.Read(ctx, func(tx *Tx) error {
		var rows []struct {
			StationClock
			LastSeq, LowestMs, HighestMs int64
		}
		err := tx.DB.WithContext(ctx).Raw("SELECT station, MAX(seq) AS last_seq, COUNT(*) AS batches, MIN(error_ms) AS lowest_ms, MAX(error_ms) AS highest_ms, "+
			"SUM(CASE WHEN error_ms > ? OR error_ms < ? THEN read_count ELSE 0 END) AS reads_off FROM clock_errors WHERE received_ms >= ? GROUP BY station",
			beyond, -beyond, int64(since)).Scan(&rows).Error
		if err != nil {
			return err
		}
		for i := range rows {
			c := &rows[i]
			c.WorstMs = c.HighestMs
			if -c.LowestMs > c.WorstMs {
				c.WorstMs = c.LowestMs
			}
			err := tx.DB.Raw("SELECT received_ms, error_ms FROM clock_errors WHERE seq = ?", c.LastSeq).Row().Scan(&c.AtMs, &c.ErrorMs)
			if err != nil {
				return err
			}
			clocks[c.Station] = &c.StationClock
		}
		return nil
	})
	return clocks, err
}
