package clock

import (
	"cmp"
	"math/big"
	"slices"
	"time"

	"hulltally/costing"
)

const hour = 3600

// cut turns the open booking, ended at an instant, into pieces: it is rounded
// where the policy says so, cut at local midnight, and the shift's unpaid
// breaks are taken out. What is left is priced.
func (c *Clockwork) cut(f *Fold, w *costing.Worker, end costing.Instant, p Piece) error {
	o := f.Open
	p.Worker, p.Opened, p.Station, p.Job, p.Indirect = w.Key, o.Entry, o.Station, o.Job, o.Indirect
	step := c.yard.Policy.ClockRounding.Or(c.date(o.At), 0)
	from, to := c.neutral(o.At, step), end.Second()
	if !p.Running { // now is no instant anybody scanned
		to = c.neutral(end, step)
	}
	for day := c.dateOf(from); from < to; day++ {
		until := min(to, c.midnight(day+1))
		if err := c.day(f, w, day, from, until, p); err != nil {
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
func (c *Clockwork) day(f *Fold, w *costing.Worker, day costing.Date, from, to int64, p Piece) error {
	p.Date = day
	for _, b := range c.breaks(w, day) {
		if b.to <= from || b.from >= to {
			continue
		}
		if b.from > from {
			if err := c.bands(f, w, from, b.from, p); err != nil {
				return err
			}
		}
		from = max(from, b.to)
	}
	if from >= to {
		return nil
	}
	return c.bands(f, w, from, to, p)
}

type stretch struct{ from, to int64 }

// breaks lists a day's unpaid breaks in order, with those of the day before
// that run past midnight. (Decision: a break without a weekday is taken on
// every day that is worked, also one without shift hours.)
func (c *Clockwork) breaks(w *costing.Worker, day costing.Date) []stretch {
	shift := c.yard.Shifts[w.Shift]
	if shift == nil || len(shift.Breaks) == 0 {
		return nil
	}
	var list []stretch
	for _, d := range [2]costing.Date{day - 1, day} {
		for _, span := range shift.BreaksOn(d) {
			if d < day && span.End > span.Start {
				continue
			}
			start, end := span.On(d, c.yard.Zone)
			list = append(list, stretch{start.Second(), end.Second()})
		}
	}
	slices.SortFunc(list, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	return list
}

// bands cuts a stretch of one day where the pay band changes: past the daily
// limit, and past the weekly limit of what is still ordinary.
func (c *Clockwork) bands(f *Fold, w *costing.Worker, from, to int64, p Piece) error {
	if monday := p.Date.Monday(); monday != f.Week {
		*f = Fold{Open: f.Open, Week: monday, Day: p.Date}
	}
	if f.Day != p.Date {
		f.Day, f.DaySeconds = p.Date, 0
	}
	p.Start, p.Seconds = from, to-from
	if _, holiday := c.yard.Holidays[p.Date]; holiday || p.Date.Weekday() == 7 {
		p.Band = Double
		return c.price(f, w, p)
	}
	policy := &c.yard.Policy
	daily := int64(policy.DailyOrdinary.Or(p.Date, costing.DefaultDaily) / time.Second)
	weekly := int64(policy.WeeklyOrdinary.Or(f.Week, costing.DefaultWeekly) / time.Second)
	ordinary := max(0, min(p.Seconds, daily-f.DaySeconds, weekly-f.WeekOrdinary))
	f.DaySeconds += p.Seconds
	f.WeekOrdinary += ordinary
	rest := p
	if ordinary > 0 {
		p.Seconds, p.Band = ordinary, Ordinary
		if err := c.price(f, w, p); err != nil {
			return err
		}
	}
	if rest.Seconds -= ordinary; rest.Seconds > 0 {
		rest.Start, rest.Band = from+ordinary, Overtime
		return c.price(f, w, rest)
	}
	return nil
}

// price works the piece's amounts out by running rounding over the week.
func (c *Clockwork) price(f *Fold, w *costing.Worker, p Piece) (err error) {
	y := c.yard
	rate, known := w.Rates.On(p.Date)
	p.NoRate = !known
	onCost := int64(y.Policy.OnCost.Or(p.Date, 0))
	extra := c.extra(p)
	const den, den2 = int64(hour * costing.Million), int64(hour * costing.Million * costing.Million)
	paid := costing.Mul(p.Seconds*y.Currency.Scale(), int64(rate))
	if p.Base, err = f.Base.Step(paid, den); err != nil {
		return err
	}
	if p.OnCost, err = f.OnCost.Step(paid.Times(onCost), den2); err != nil {
		return err
	}
	if p.Premium, err = f.Premium.Step(paid.Times(extra), den2); err != nil {
		return err
	}
	if y.Policy.PremiumOnCost.Or(p.Date, false) {
		// The on-cost of the premium goes where the premium goes, as a series of its own.
		den3 := new(big.Int).Mul(big.NewInt(den2), big.NewInt(costing.Million))
		if p.PremiumOnCost, err = f.PremiumOnCost.StepBig(paid.Times(extra).Times(onCost), den3); err != nil {
			return err
		}
	}
	if job := y.Jobs[p.Job]; job != nil {
		var absorption costing.Price
		if st := y.Stages[job.Stage]; st != nil {
			absorption = st.Absorption.Or(p.Date, 0)
		}
		if p.Overhead, err = f.Overhead.Step(costing.Mul(p.Seconds*y.Currency.Scale(), int64(absorption)), den); err != nil {
			return err
		}
	}
	return c.emit(&p)
}

// extra is the band's multiplier less one, in millionths.
func (c *Clockwork) extra(p Piece) int64 {
	switch p.Band {
	case Overtime:
		return int64(c.yard.Policy.OvertimeMultiplier.Or(p.Date, costing.DefaultOvertime) - costing.One)
	case Double:
		return int64(c.yard.Policy.DoubleMultiplier.Or(p.Date, costing.DefaultDouble) - costing.One)
	}
	return 0
}
