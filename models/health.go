package models

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Health is what a look at the whole database found, a line each: what is
// well, what a person should look at, and what is wrong.
type Health struct{ Well, Look, Wrong []string }

// Health looks the database over.
func (s *Store) Health(ctx context.Context, now costing.Instant) (*Health, error) {
	h := &Health{}
	if err := s.Ping(ctx); err != nil {
		return nil, fmt.Errorf("the database does not answer: %w", err)
	}
	current, latest, err := s.MigrationVersion(ctx)
	switch {
	case err != nil:
		return nil, err
	case current != latest:
		h.Wrong = append(h.Wrong, fmt.Sprintf("the tables are of version %d, this program's of %d", current, latest))
	default:
		h.Well = append(h.Well, fmt.Sprintf("database %s, tables of version %d", s.Kind(), current))
	}
	s.room(h)
	return h, s.Read(ctx, func(tx *Tx) error {
		if err := tx.healthOfLogbook(h); err != nil {
			return err
		}
		if tx.Version == 0 {
			h.Look = append(h.Look, "no yard files are loaded yet")
			return nil
		}
		for _, part := range []func(context.Context, *Health, costing.Instant) error{tx.healthOfBackups, tx.healthOfTies, tx.healthOfReads, tx.healthOfTime, tx.healthOfStock, tx.healthOfDesk} {
			if err := part(ctx, h, now); err != nil {
				return err
			}
		}
		return nil
	})
}

// healthOfLogbook holds the logbook and the record of changes against their seals.
func (tx *Tx) healthOfLogbook(h *Health) error {
	last, err := tx.VerifyLogbook(Seal{})
	switch {
	case KindOf(err) == Conflict:
		h.Wrong = append(h.Wrong, err.Error())
	case err != nil:
		return err
	default:
		h.Well = append(h.Well, fmt.Sprintf("the logbook's %d entries and the changes they made are as they were written", last.Seq))
	}
	return nil
}

// lowRoom is the free space of the disk below which a yard should act.
const lowRoom = 1 << 30

func (s *Store) room(h *Health) {
	free, ok := s.dialect.room(s)
	switch {
	case !ok:
		h.Look = append(h.Look, "the room on the database's disk is not known from here")
	case free < lowRoom:
		h.Wrong = append(h.Wrong, fmt.Sprintf("only %d MB are free on the database's disk: make room", free>>20))
	default:
		h.Well = append(h.Well, fmt.Sprintf("%d GB are free on the database's disk", free>>30))
	}
}

func (tx *Tx) healthOfTies(ctx context.Context, h *Health, now costing.Instant) error {
	f, err := tx.Figures(ctx, now)
	if err != nil {
		return err
	}
	ties, err := tx.Ties(ctx, f, costing.FromStart, f.Day)
	if err != nil {
		return err
	}
	for _, t := range ties {
		if t.Left != t.Right {
			h.Wrong = append(h.Wrong, fmt.Sprintf("the tie of %s is off by %d", t.Name, t.Left-t.Right))
		}
	}
	h.Well = append(h.Well, fmt.Sprintf("%d ties looked at", len(ties)))
	return nil
}

func (tx *Tx) healthOfReads(_ context.Context, h *Health, _ costing.Instant) error {
	var rows []struct {
		Station, Flag, Code string
		N                   int
	}
	err := tx.DB.Raw("SELECT station, flag, code, COUNT(*) AS n FROM reads WHERE flag <> '' OR code = 'unknown_station' " +
		"GROUP BY station, flag, code ORDER BY station, flag, code").Scan(&rows).Error
	for _, r := range rows {
		why := r.Flag
		if why == "" {
			why = "from an unknown station"
		}
		h.Look = append(h.Look, fmt.Sprintf("station %s: %d reads %s", r.Station, r.N, why))
	}
	return err
}

// healthOfTime lists time worked without a rate, and provisional bookings.
func (tx *Tx) healthOfTime(ctx context.Context, h *Health, now costing.Instant) error {
	f, err := tx.Figures(ctx, now)
	if err != nil {
		return err
	}
	type spell struct {
		from, to costing.Date
		seconds  int64
	}
	gaps := map[string]*spell{}
	provisional := 0
	err = tx.Pieces(f, costing.FromStart, f.Day, func(p *clock.Piece) error {
		if p.Provisional {
			provisional++
		}
		if !p.NoRate {
			return nil
		}
		g := gaps[p.Worker]
		if g == nil {
			g = &spell{p.Date, p.Date, 0}
			gaps[p.Worker] = g
		}
		g.from, g.to, g.seconds = min(g.from, p.Date), max(g.to, p.Date), g.seconds+p.Seconds
		return nil
	})
	for _, w := range slices.Sorted(maps.Keys(gaps)) {
		g := gaps[w]
		h.Look = append(h.Look, fmt.Sprintf("worker %s has no rate for %d s worked from %s to %s: costed at nought until rates.csv has one",
			w, g.seconds, g.from, g.to))
	}
	if provisional > 0 {
		h.Look = append(h.Look, fmt.Sprintf("%d provisional pieces of time wait for a correction", provisional))
	}
	return err
}

func (tx *Tx) healthOfStock(_ context.Context, h *Health, _ costing.Instant) error {
	books, err := tx.stockBooks()
	if err != nil {
		return err
	}
	var over []string
	for _, b := range books {
		for lot, shelf := range b.Lots {
			if shelf.Closing() < 0 {
				over = append(over, fmt.Sprintf("lot %s: %s more was issued than it held: count it", lot, -shelf.Closing()))
			}
		}
	}
	slices.Sort(over)
	h.Look = append(h.Look, over...)
	return nil
}

// RateGap is time a worker worked without a rate.
type RateGap struct {
	Worker  string
	Seconds int64
}

// RateGaps lists who worked without a rate, in what is posted.
func (s *Store) RateGaps(ctx context.Context) (gaps []RateGap, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		return tx.DB.Raw("SELECT worker, SUM(seconds) AS seconds FROM pieces WHERE no_rate = 1 GROUP BY worker ORDER BY worker").Scan(&gaps).Error
	})
	return gaps, err
}
