package clock

import (
	"math/big"
	"time"

	"hulltally/costing"
)

const hour = 3600

// cut turns the open booking, ended at an instant, into pieces: it is rounded
// where the policy says so, cut at local midnight, and the shift's unpaid
// breaks are taken out. What is left is priced. p says what ended the booking.
func (c *Clockwork) cut(f *Fold, w *costing.Worker, end costing.Instant, p Piece) error {
	o := f.Open
	c.piece = p
	c.piece.Worker, c.piece.Opened, c.piece.Station, c.piece.Job, c.piece.Indirect = w.Key, o.Entry, o.Station, o.Job, o.Indirect
	c.stage = nil
	if job := c.yard.Jobs[o.Job]; job != nil {
		c.stage = c.yard.Stages[job.Stage]
	}
	step := c.calendar.at(o.At).rounding
	from, to := c.neutral(o.At, step), end.Second()
	if !p.Running { // now is no instant anybody scanned
		to = c.neutral(end, step)
	}
	for from < to {
		d := c.calendar.of(from)
		until := min(to, d.to)
		if err := c.day(f, w, d, from, until); err != nil {
			return err
		}
		from = until
	}
	return nil
}

// neutral rounds an instant to the nearest step of local clock time, half up:
// it averages out (29 CFR 785.48(b) describes the practice).
func (c *Clockwork) neutral(at costing.Instant, step time.Duration) int64 {
	s, n := at.Second(), int64(step/time.Second)
	if n <= 0 {
		return s
	}
	_, offset := at.Time().In(c.yard.Zone).Zone()
	local := s + int64(offset) + n/2
	return local - ((local%n)+n)%n - int64(offset)
}

// day emits one day's part of a booking without the breaks.
func (c *Clockwork) day(f *Fold, w *costing.Worker, d *day, from, to int64) error {
	for _, b := range d.breaksOf(c.shiftOf(w), c.yard.Zone) {
		if b.to <= from || b.from >= to {
			continue
		}
		if b.from > from {
			if err := c.bands(f, w, d, from, b.from); err != nil {
				return err
			}
		}
		from = b.to
	}
	if from >= to {
		return nil
	}
	return c.bands(f, w, d, from, to)
}

// bands cuts a stretch of one day where the pay band changes: past the daily
// limit, and past the weekly limit of what is still ordinary.
func (c *Clockwork) bands(f *Fold, w *costing.Worker, d *day, from, to int64) error {
	if d.monday != f.Week {
		*f = Fold{Open: f.Open, Week: d.monday, Day: d.date}
	}
	if f.Day != d.date {
		f.Day, f.DaySeconds = d.date, 0
	}
	seconds := to - from
	if d.double {
		return c.price(f, w, d, from, seconds, Double, d.twice)
	}
	ordinary := max(0, min(seconds, d.daily-f.DaySeconds, d.weekly-f.WeekOrdinary))
	f.DaySeconds += seconds
	f.WeekOrdinary += ordinary
	if ordinary > 0 {
		if err := c.price(f, w, d, from, ordinary, Ordinary, 0); err != nil {
			return err
		}
	}
	if seconds > ordinary {
		return c.price(f, w, d, from+ordinary, seconds-ordinary, Overtime, d.overtime)
	}
	return nil
}

// price finishes the piece: its amounts come by running rounding over the
// week. extra is the band's multiplier less one, in millionths. A step of
// nought leaves a series as it is, so it is not taken.
func (c *Clockwork) price(f *Fold, w *costing.Worker, d *day, start, seconds int64, band Band, extra int64) (err error) {
	p := &c.piece
	p.Date, p.Start, p.Seconds, p.Band = d.date, start, seconds, band
	p.OnCost, p.Premium, p.PremiumOnCost, p.Overhead = 0, 0, 0, 0
	rate, known := w.Rates.On(d.date)
	p.NoRate = !known
	const den, den2 = int64(hour * costing.Million), int64(hour * costing.Million * costing.Million)
	scaled := seconds * c.scale
	paid := costing.Mul(scaled, int64(rate))
	if p.Base, err = f.Base.Step(paid, den); err != nil {
		return err
	}
	if d.onCost != 0 {
		if p.OnCost, err = f.OnCost.Step(paid.Times(d.onCost), den2); err != nil {
			return err
		}
	}
	if extra != 0 {
		if err = c.premium(f, d, paid.Times(extra), den2); err != nil {
			return err
		}
	}
	if c.stage != nil {
		absorption := c.stage.Absorption.Or(d.date, 0)
		if p.Overhead, err = f.Overhead.Step(costing.Mul(scaled, int64(absorption)), den); err != nil {
			return err
		}
	}
	return c.emit(p)
}

// premium steps what a band pays beyond ordinary time. Its on-cost goes where
// the premium goes, as a series of its own.
func (c *Clockwork) premium(f *Fold, d *day, extra costing.Wide, den2 int64) (err error) {
	if c.piece.Premium, err = f.Premium.Step(extra, den2); err != nil || !d.premiumOnCost {
		return err
	}
	den3 := new(big.Int).Mul(big.NewInt(den2), big.NewInt(costing.Million))
	c.piece.PremiumOnCost, err = f.PremiumOnCost.StepBig(extra.Times(d.onCost), den3)
	return err
}
