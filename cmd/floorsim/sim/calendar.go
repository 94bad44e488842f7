package sim

import (
	"time"

	"hulltally/costing"
)

// shiftPlan is a weekly pattern in minutes after midnight.
type shiftPlan struct {
	key                 string
	start, end, friday  int
	breakFrom, breakTil int
}

var shiftPlans = []shiftPlan{
	{"DAY", 7 * 60, 16 * 60, 14 * 60, 12 * 60, 12*60 + 30},
	{"EVE", 15 * 60, 23*60 + 30, 21*60 + 30, 19 * 60, 19*60 + 30},
}

func shiftOf(key string) *shiftPlan {
	for i := range shiftPlans {
		if shiftPlans[i].key == key {
			return &shiftPlans[i]
		}
	}
	return nil
}

// hours is the shift's span on a weekday, and whether it works then.
func (s *shiftPlan) hours(weekday int) (costing.Span, bool) {
	switch {
	case weekday == 5:
		return costing.Span{Start: s.start, End: s.friday}, true
	case weekday < 5:
		return costing.Span{Start: s.start, End: s.end}, true
	}
	return costing.Span{}, false
}

// holidays that fall on the same day each year.
var holidays = []struct {
	month time.Month
	day   int
	name  string
}{
	{time.January, 1, "New Year"},
	{time.April, 25, "Spring holiday"},
	{time.May, 1, "Labour Day"},
	{time.June, 10, "Summer holiday"},
	{time.August, 15, "Mid-August holiday"},
	{time.October, 5, "Autumn holiday"},
	{time.December, 1, "Winter holiday"},
	{time.December, 8, "Yard's patron"},
	{time.December, 25, "Christmas"},
}

func (w *World) addCalendar() {
	for _, s := range shiftPlans {
		for weekday := 1; weekday <= 5; weekday++ {
			hours, _ := s.hours(weekday)
			w.Shifts = append(w.Shifts, ShiftHours{s.key, weekday, hours})
		}
		w.Breaks = append(w.Breaks, ShiftHours{s.key, 0, costing.Span{Start: s.breakFrom, End: s.breakTil}})
	}
	for y := dayTime(w.Config.Start).Year(); y <= dayTime(w.end).Year(); y++ {
		for _, h := range holidays {
			day := costing.NewDate(y, h.month, h.day)
			w.Holidays = append(w.Holidays, Holiday{day, h.name})
			w.holiday[day] = true
		}
	}
}

func (w *World) addPolicies() {
	for _, p := range [][2]string{
		{"name", "Marnolva Yard"},
		{"currency", baseCurrency},
		{"time_zone", zoneName},
		{"scan_gap", "30s"},
		{"max_booking", "14h"},
		{"grace", "30m"},
		{"no_shift_cap", "2h"},
		{"clock_rounding", "none"},
		{"daily_ordinary", "9h"},
		{"weekly_ordinary", "45h"},
		{"overtime_multiplier", "1.5"},
		{"double_multiplier", "2"},
		{"on_cost", "0.24"},
		{"premium_on_cost", "no"},
	} {
		w.Policies = append(w.Policies, Policy{Key: p[0], Value: p[1]})
	}
}
