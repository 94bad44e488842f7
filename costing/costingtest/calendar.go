package costingtest

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"time"
)

func sortActs(acts []*act) {
	slices.SortStableFunc(acts, func(a, b *act) int { return before(a.at, a.station, a.n, b.at, b.station, b.n) })
}

func (o *Oracle) date(at time.Time) string { return at.In(o.zone).Format(time.DateOnly) }

// midnight is the first instant of a local date.
func (o *Oracle) midnight(date string) time.Time {
	noon := o.local(date, "12:00")
	from := noon.Add(-20 * time.Hour)
	i := sort.Search(20*3600, func(i int) bool { return o.date(from.Add(time.Duration(i)*time.Second)) >= date })
	return from.Add(time.Duration(i) * time.Second)
}

// local places a clock time on a date: one that comes twice is the first, one
// that a clock change skips counts on from before it.
func (o *Oracle) local(date, clock string) time.Time {
	shown, err := time.Parse(time.DateOnly+" 15:04", date+" "+clock)
	if err != nil {
		panic(err)
	}
	offset := func(at time.Time) time.Duration {
		_, seconds := at.In(o.zone).Zone()
		return time.Duration(seconds) * time.Second
	}
	was := shown.Add(-offset(shown.AddDate(0, 0, -2)))
	is := shown.Add(-offset(shown.AddDate(0, 0, 2)))
	for _, at := range []time.Time{earlier(was, is), later(was, is)} {
		if at.In(o.zone).Format(time.DateOnly+" 15:04") == date+" "+clock {
			return at
		}
	}
	return was
}

func nextDate(date string, days int) string {
	d, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	return d.AddDate(0, 0, days).Format(time.DateOnly)
}

// weekday counts from Monday = 1.
func weekday(date string) string {
	d, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	return strconv.Itoa((int(d.Weekday())+6)%7 + 1)
}

func week(date string) string {
	d, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	y, w := d.ISOWeek()
	return fmt.Sprintf("%04d-W%02d", y, w)
}

// stretch is a length of time.
type stretch struct{ from, to time.Time }

func (s stretch) seconds() int64 { return int64(s.to.Sub(s.from) / time.Second) }

// onDate places local clock times on a date; an end before its start is on the next.
func (o *Oracle) onDate(date, start, end string) stretch {
	s := stretch{o.local(date, start), o.local(date, end)}
	if end <= start {
		s.to = o.local(nextDate(date, 1), end)
	}
	return s
}

// shiftEnd says when a booking that began at an instant would end by the
// worker's shift, if there is such a shift.
func (o *Oracle) shiftEnd(shift string, began time.Time) (time.Time, bool) {
	today := o.date(began)
	for _, date := range []string{nextDate(today, -1), today} {
		for _, r := range o.files["shifts"] {
			if r["shift"] != shift || r["weekday"] != weekday(date) {
				continue
			}
			s := o.onDate(date, r["start"], r["end"])
			// yesterday's shift counts only where it runs over midnight
			if began.Before(s.to) || date == today && !began.After(s.to) {
				return s.to, true
			}
		}
	}
	return time.Time{}, false
}

// withoutBreaks takes the unpaid breaks of a shift out of a stretch.
func (o *Oracle) withoutBreaks(shift string, whole stretch) []stretch {
	left := []stretch{whole}
	for date := nextDate(o.date(whole.from), -1); date <= o.date(whole.to); date = nextDate(date, 1) {
		for _, r := range o.files["breaks"] {
			if r["shift"] != shift || r["weekday"] != "" && r["weekday"] != weekday(date) {
				continue
			}
			left = without(left, o.onDate(date, r["start"], r["end"]))
		}
	}
	return left
}

func without(list []stretch, out stretch) []stretch {
	left := []stretch{}
	for _, s := range list {
		for _, part := range []stretch{{s.from, earlier(s.to, out.from)}, {later(s.from, out.to), s.to}} {
			if part.from.Before(part.to) {
				left = append(left, part)
			}
		}
	}
	return left
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// nearest rounds an instant on the local clock, half up.
func (o *Oracle) nearest(at time.Time) time.Time {
	rule := o.policy("clock_rounding", "none", "")
	if rule == "none" {
		return at
	}
	step, err := time.ParseDuration(rule)
	if err != nil {
		panic(err)
	}
	_, offset := at.In(o.zone).Zone()
	shown := at.Unix() + int64(offset)
	unit := int64(step / time.Second)
	return time.Unix((2*shown+unit)/(2*unit)*unit-int64(offset), 0).UTC()
}
