package costing

import (
	"fmt"
	"time"
)

// Date is a calendar day, counted from 1 January 1970.
type Date int32

// NewDate is the day of a year, month and day of month.
func NewDate(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// ParseDate reads an ISO 8601 day such as 2026-03-01.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date such as 2026-03-01", s)
	}
	return Date(t.Unix() / 86400), nil
}

// DateOf is the local day of an instant.
func DateOf(at Instant, zone *time.Location) Date {
	t := at.Time().In(zone)
	return NewDate(t.Year(), t.Month(), t.Day())
}

func (d Date) utc() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String is the ISO 8601 form.
func (d Date) String() string { return d.utc().Format(time.DateOnly) }

// Weekday counts from Monday = 1 to Sunday = 7 (ISO 8601).
func (d Date) Weekday() int { return (int(d)%7+7+3)%7 + 1 }

// Monday is the first day of the date's ISO week.
func (d Date) Monday() Date { return d - Date(d.Weekday()-1) }

// Week is the ISO week, such as 2026-W05.
func (d Date) Week() string {
	y, w := d.utc().ISOWeek()
	return fmt.Sprintf("%04d-W%02d", y, w)
}

// Period is the month of the date.
func (d Date) Period() Period {
	t := d.utc()
	return Period(t.Year()*100 + int(t.Month()))
}

// At is the instant of a local time of day, in minutes after midnight; minutes
// past 1440 fall on the next day. A time that a clock change skips counts on
// from the change, as clocks do; one that comes twice is the first. So At(0)
// is where the day begins, also in zones whose clocks change at midnight.
// (time.Date chooses otherwise east and west of Greenwich.)
func (d Date) At(minutes int, zone *time.Location) Instant {
	local := int64(d)*86400 + int64(minutes)*60 // read as if it were UTC
	before := offsetAt(local-86400, zone)
	at := local - before
	if after := offsetAt(at, zone); after != before {
		// The change lies behind at: the new offset holds unless it skips the time.
		if changed := local - after; offsetAt(changed, zone) == after {
			at = changed
		}
	}
	return Instant(at * 1000)
}

// offsetAt is a zone's offset from UTC in seconds at a Unix second.
func offsetAt(unix int64, zone *time.Location) int64 {
	_, offset := time.Unix(unix, 0).In(zone).Zone()
	return int64(offset)
}

// Period is a calendar month as the number YYYYMM.
type Period int32

// ParsePeriod reads a month such as 2026-03.
func ParsePeriod(s string) (Period, error) {
	t, err := time.Parse("2006-01", s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a month such as 2026-03", s)
	}
	return Period(t.Year()*100 + int(t.Month())), nil
}

// String is the month as YYYY-MM.
func (p Period) String() string { return fmt.Sprintf("%04d-%02d", p/100, p%100) }

// First is the first day of the month.
func (p Period) First() Date { return NewDate(int(p/100), time.Month(p%100), 1) }

// Next is the month after.
func (p Period) Next() Period {
	if p%100 == 12 {
		return p + 89
	}
	return p + 1
}

// Instant is a point in time in milliseconds since the Unix epoch.
type Instant int64

// InstantOf cuts a time to the millisecond.
func InstantOf(t time.Time) Instant { return Instant(t.UnixMilli()) }

// ParseInstant reads RFC 3339.
func ParseInstant(s string) (Instant, error) {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not an instant such as 2026-03-01T07:00:00+02:00", s)
	}
	return InstantOf(t), nil
}

// Time is the instant in UTC.
func (i Instant) Time() time.Time { return time.UnixMilli(int64(i)).UTC() }

// String is RFC 3339 in UTC, with milliseconds only where there are some.
func (i Instant) String() string { return i.Time().Format("2006-01-02T15:04:05.999Z07:00") }

// Second is the instant's whole second since the epoch: time is booked in whole seconds.
func (i Instant) Second() int64 {
	s := int64(i) / 1000
	if int64(i)%1000 < 0 {
		s--
	}
	return s
}
