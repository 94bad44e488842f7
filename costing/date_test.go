package costing_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// changing lists zones whose clocks change in every way there is: east and
// west of Greenwich, by an hour and by half of one, at midnight, south of the
// equator, a day left out, and not at all.
var changing = []string{
	"Africa/Johannesburg", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/Santiago", "Africa/Cairo",
	"Asia/Beirut", "America/Havana", "Pacific/Apia", "Africa/Casablanca", "Asia/Kathmandu", "Pacific/Chatham", "UTC",
}

func zone(t interface {
	Helper()
	Fatal(...any)
}, name string,
) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func date(t *testing.T, s string) costing.Date {
	t.Helper()
	d, err := costing.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// ISO 8601 weeks at the turn of years, from the standard's rule that week 1
// holds the year's first Thursday (4 January); the dates are those the usual
// explanations of the standard name.
func TestWeekAtYearEnds(t *testing.T) {
	for _, c := range []struct {
		day, week string
		weekday   int
	}{
		{"1976-12-31", "1976-W53", 5},
		{"1977-01-01", "1976-W53", 6},
		{"1977-01-02", "1976-W53", 7},
		{"1977-01-03", "1977-W01", 1},
		{"1978-01-01", "1977-W52", 7},
		{"1979-12-31", "1980-W01", 1},
		{"1980-12-28", "1980-W52", 7},
		{"1981-12-31", "1981-W53", 4},
		{"2004-12-31", "2004-W53", 5},
		{"2005-01-02", "2004-W53", 7},
		{"2008-09-26", "2008-W39", 5},
		{"2008-12-29", "2009-W01", 1},
		{"2010-01-03", "2009-W53", 7},
		{"2020-12-31", "2020-W53", 4},
		{"2026-12-31", "2026-W53", 4},
		{"2027-01-03", "2026-W53", 7},
		{"2027-01-04", "2027-W01", 1},
		{"1969-12-29", "1970-W01", 1},
		{"1970-01-01", "1970-W01", 4},
	} {
		d := date(t, c.day)
		if d.Week() != c.week || d.Weekday() != c.weekday {
			t.Errorf("%s is day %d of %s, want %d of %s", c.day, d.Weekday(), d.Week(), c.weekday, c.week)
		}
	}
}

// Days against the standard library, over twenty centuries.
func TestDateAgainstTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := costing.Date(rapid.Int32Range(int32(costing.FromStart), 50_000).Draw(t, "day"))
		u := time.Date(1970, 1, 1, 12, 0, 0, 0, time.UTC).AddDate(0, 0, int(d))
		if want := u.Format("2006-01-02"); d.String() != want {
			t.Fatalf("day %d is %s, want %s", d, d, want)
		}
		if back, err := costing.ParseDate(d.String()); back != d || err != nil {
			t.Fatalf("%s reads back as %d, %v; want %d", d, back, err, d)
		}
		if costing.NewDate(u.Year(), u.Month(), u.Day()) != d {
			t.Fatalf("NewDate(%s) is not %d", d, d)
		}
		if want := int(u.Weekday()+6)%7 + 1; d.Weekday() != want {
			t.Fatalf("%s is weekday %d, want %d", d, d.Weekday(), want)
		}
		if m := d.Monday(); m.Weekday() != 1 || m > d || d-m > 6 || m.Week() != d.Week() {
			t.Fatalf("the week of %s (%s) begins on %s (%s)", d, d.Week(), m, m.Week())
		}
		if p := d.Period(); p.First() > d || p.Next().First() <= d || p.String() != u.Format("2006-01") {
			t.Fatalf("%s lies in %s", d, p)
		}
	})
}

func TestParseDateRefuses(t *testing.T) {
	for _, s := range []string{"", "2026-02-29", "2026-13-01", "2026-00-10", "26-01-01", "2026/01/01", "2026-1-1", "2026-01-01T00:00:00Z", "01-02-2026"} {
		if d, err := costing.ParseDate(s); err == nil {
			t.Errorf("ParseDate(%q) = %s, want an error", s, d)
		}
	}
}

func TestFromStart(t *testing.T) {
	if got := costing.FromStart.String(); got != "0001-01-01" {
		t.Errorf("FromStart is %s", got)
	}
}

func TestPeriod(t *testing.T) {
	p, err := costing.ParsePeriod("2026-11")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"2026-11", "2026-12", "2027-01", "2027-02"} {
		if p.String() != want || p.First().String() != want+"-01" {
			t.Errorf("month %s begins on %s, want %s", p, p.First(), want)
		}
		p = p.Next()
	}
	for _, s := range []string{"", "2026", "2026-13", "2026-00", "2026-1", "2026-11-01", "11-2026"} {
		if p, err := costing.ParsePeriod(s); err == nil {
			t.Errorf("ParsePeriod(%q) = %s, want an error", s, p)
		}
	}
}

func TestInstant(t *testing.T) {
	for s, want := range map[string]string{
		"2026-03-01T07:00:00+02:00":      "2026-03-01T05:00:00Z",
		"2026-03-01T07:00:00.25Z":        "2026-03-01T07:00:00.25Z",
		"2026-03-01T07:00:00.123999999Z": "2026-03-01T07:00:00.123Z",
		"1969-12-31T23:59:59.9999Z":      "1969-12-31T23:59:59.999Z",
	} {
		i, err := costing.ParseInstant(s)
		if err != nil || i.String() != want {
			t.Errorf("ParseInstant(%q) = %s, %v; want %s", s, i, err, want)
		}
	}
	for _, s := range []string{"", "2026-03-01", "2026-03-01T07:00", "2026-03-01T07:00:00", "2026-03-01 07:00:00Z", "2026-03-01T25:00:00Z"} {
		if i, err := costing.ParseInstant(s); err == nil {
			t.Errorf("ParseInstant(%q) = %s, want an error", s, i)
		}
	}
	for i, want := range map[costing.Instant]int64{0: 0, 999: 0, 1000: 1, -1: -1, -1000: -1, -1001: -2} {
		if i.Second() != want {
			t.Errorf("the second of %d ms is %d, want %d", i, i.Second(), want)
		}
	}
}

func TestInstantRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := costing.Instant(rapid.Int64Range(-62135596800000, 253402300799999).Draw(t, "ms")) // years 1 to 9999
		if back, err := costing.ParseInstant(i.String()); back != i || err != nil {
			t.Fatalf("%s reads back as %d, %v; want %d", i, back, err, i)
		}
		if s := i.Second(); s*1000 > int64(i) || int64(i)-s*1000 > 999 {
			t.Fatalf("the second of %d ms is %d", i, s)
		}
	})
}

// A local time of day in every kind of clock change: what is skipped counts on
// from the change, what comes twice is the first.
func TestAtClockChanges(t *testing.T) {
	for _, c := range []struct {
		zone, day string
		minutes   int
		want      string
	}{
		{"Africa/Johannesburg", "2026-03-01", 7 * 60, "2026-03-01T07:00:00+02:00"},
		{"Africa/Johannesburg", "2026-03-01", 30 * 60, "2026-03-02T06:00:00+02:00"},
		{"Africa/Johannesburg", "2026-03-01", -60, "2026-02-28T23:00:00+02:00"},
		{"Europe/Berlin", "2026-03-29", 90, "2026-03-29T01:30:00+01:00"},
		{"Europe/Berlin", "2026-03-29", 150, "2026-03-29T03:30:00+02:00"},
		{"Europe/Berlin", "2026-03-29", 180, "2026-03-29T03:00:00+02:00"},
		{"Europe/Berlin", "2026-10-25", 150, "2026-10-25T02:30:00+02:00"},
		{"Europe/Berlin", "2026-10-25", 180, "2026-10-25T03:00:00+01:00"},
		{"America/New_York", "2026-03-08", 150, "2026-03-08T03:30:00-04:00"},
		{"America/New_York", "2026-11-01", 90, "2026-11-01T01:30:00-04:00"},
		{"America/New_York", "2026-11-01", 120, "2026-11-01T02:00:00-05:00"},
		{"America/Santiago", "2024-09-08", 0, "2024-09-08T01:00:00-03:00"}, // no midnight
		{"Asia/Beirut", "2024-03-31", 0, "2024-03-31T01:00:00+03:00"},      // no midnight
		{"America/Havana", "2024-11-03", 0, "2024-11-03T00:00:00-04:00"},   // two midnights
		{"Australia/Lord_Howe", "2026-04-05", 105, "2026-04-05T01:45:00+11:00"},
		{"Australia/Lord_Howe", "2026-10-04", 135, "2026-10-04T02:45:00+11:00"},
	} {
		z := zone(t, c.zone)
		if got := date(t, c.day).At(c.minutes, z).Time().In(z).Format(time.RFC3339); got != c.want {
			t.Errorf("%s %s in %s is %s, want %s", c.day, costing.FormatClock(c.minutes), c.zone, got, c.want)
		}
	}
}

// A day begins at its At(0), to the millisecond, in every zone; days follow
// one another without a gap.
func TestDayBeginsAtMidnight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(changing).Draw(t, "zone")
		z := zone(t, name)
		d := costing.Date(rapid.Int32Range(3653, 25_000).Draw(t, "day")) // 1980 to 2038
		begins, ends := d.At(0, z), (d+1).At(0, z)
		if d.At(24*60, z) != ends {
			t.Fatalf("%s in %s ends at %s, the next day begins at %s", d, name, d.At(24*60, z), ends)
		}
		if begins == ends { // Apia had no 30 December 2011
			return
		}
		for i, want := range map[costing.Instant]bool{begins - 1: false, begins: true, ends - 1: true} {
			if got := costing.DateOf(i, z) == d; got != want {
				t.Fatalf("%s in %s is of %s: %t, want %t", i, name, d, got, want)
			}
		}
		// A time of day that exists shows on the clock.
		minutes := rapid.IntRange(0, 24*60-1).Draw(t, "minutes")
		at := d.At(minutes, z)
		clock := at.Time().In(z)
		if clock.Hour()*60+clock.Minute() == minutes {
			for _, back := range []costing.Instant{30 * 60_000, 60 * 60_000} {
				if earlier := (at - back).Time().In(z); earlier.Format(time.DateTime) == clock.Format(time.DateTime) {
					t.Fatalf("%s %s in %s is %s, but came before at %s", d, costing.FormatClock(minutes), name, clock, earlier)
				}
			}
			return
		}
		for _, b := range []costing.Instant{at - 2*3600_000, at + 2*3600_000} {
			_, before := b.Time().In(z).Zone()
			if _, now := clock.Zone(); before != now {
				return // skipped by a change nearby
			}
		}
		t.Fatalf("%s %s in %s came out as %s without a clock change", d, costing.FormatClock(minutes), name, clock)
	})
}
