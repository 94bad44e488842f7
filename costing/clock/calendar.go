package clock

import (
	"cmp"
	"slices"
	"time"

	"hulltally/costing"
)

// day is what the calendar and the dated policies say of one local day, looked
// up once. Limits are in seconds.
type day struct {
	date, monday  costing.Date
	from, to      int64 // the seconds at which it begins and the next one does
	double        bool  // a Sunday or a holiday
	daily, weekly int64 // ordinary time, by the limits of the day

	maxBooking, grace, noShiftCap, rounding time.Duration

	onCost, overtime, twice int64 // in millionths; the bands' multipliers less one
	premiumOnCost           bool

	shift  *costing.Shift // whose breaks are at hand
	breaks []stretch
}

type stretch struct{ from, to int64 }

// calendar finds days. Work comes in time order, so the last one found is
// nearly always the next one asked for.
type calendar struct {
	yard *costing.Yard
	days map[costing.Date]*day
	last *day
}

// at is the local day of an instant.
func (c *calendar) at(i costing.Instant) *day { return c.of(i.Second()) }

// of is the local day of a second.
func (c *calendar) of(second int64) *day {
	if d := c.last; d != nil && d.from <= second && second < d.to {
		return d
	}
	guess := costing.Date(second / 86400)
	for date := guess - 1; date <= guess+1; date++ {
		if d := c.on(date); d.from <= second && second < d.to {
			c.last = d
			return d
		}
	}
	return c.on(costing.DateOf(costing.Instant(second*1000), c.yard.Zone))
}

// on is a date's day.
func (c *calendar) on(date costing.Date) *day {
	d := c.days[date]
	if d == nil {
		d = c.look(date)
		c.days[date] = d
	}
	return d
}

func (c *calendar) look(date costing.Date) *day {
	y, p := c.yard, &c.yard.Policy
	_, holiday := y.Holidays[date]
	monday := date.Monday()
	return &day{
		date: date, monday: monday,
		from: date.At(0, y.Zone).Second(), to: (date + 1).At(0, y.Zone).Second(),
		double:        holiday || date.Weekday() == 7,
		daily:         int64(p.DailyOrdinary.Or(date, costing.DefaultDaily) / time.Second),
		weekly:        int64(p.WeeklyOrdinary.Or(date, costing.DefaultWeekly) / time.Second),
		maxBooking:    p.MaxBooking.Or(date, costing.DefaultMaxBooking),
		grace:         p.Grace.Or(date, costing.DefaultGrace),
		noShiftCap:    p.NoShiftCap.Or(date, costing.DefaultNoShiftCap),
		rounding:      p.ClockRounding.Or(date, 0),
		onCost:        int64(p.OnCost.Or(date, 0)),
		overtime:      int64(p.OvertimeMultiplier.Or(date, costing.DefaultOvertime) - costing.One),
		twice:         int64(p.DoubleMultiplier.Or(date, costing.DefaultDouble) - costing.One),
		premiumOnCost: p.PremiumOnCost.Or(date, false),
	}
}

// breaksOf lists the day's unpaid breaks of a shift in order, with those of the
// day before that run past midnight. (Decision: a break without a weekday is
// taken on every day that is worked, also one without shift hours.)
func (d *day) breaksOf(shift *costing.Shift, zone *time.Location) []stretch {
	if shift == nil || len(shift.Breaks) == 0 {
		return nil
	}
	if d.shift == shift {
		return d.breaks
	}
	var list []stretch
	for _, on := range [2]costing.Date{d.date - 1, d.date} {
		for _, span := range shift.BreaksOn(on) {
			if on < d.date && span.End > span.Start {
				continue
			}
			start, end := span.On(on, zone)
			list = append(list, stretch{start.Second(), end.Second()})
		}
	}
	slices.SortFunc(list, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	d.shift, d.breaks = shift, list
	return list
}
