package costing_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
)

func TestParseClock(t *testing.T) {
	for s, want := range map[string]int{"00:00": 0, "07:30": 450, "23:59": 1439} {
		if got, err := costing.ParseClock(s); got != want || err != nil || costing.FormatClock(got) != s {
			t.Errorf("ParseClock(%q) = %d, %v; want %d", s, got, err, want)
		}
	}
	for _, s := range []string{"", "7:30", "24:00", "12:60", "0730", "07:30:00", "07:3x", "-7:30"} {
		if got, err := costing.ParseClock(s); err == nil {
			t.Errorf("ParseClock(%q) = %d, want an error", s, got)
		}
	}
}

// shiftOf is a shift with the same hours on the given weekdays.
func shiftOf(t *testing.T, start, end string, weekdays ...int) *costing.Shift {
	t.Helper()
	var h costing.Span
	var err error
	if h.Start, err = costing.ParseClock(start); err != nil {
		t.Fatal(err)
	}
	if h.End, err = costing.ParseClock(end); err != nil {
		t.Fatal(err)
	}
	s := &costing.Shift{Key: "S", Hours: map[int]costing.Span{}}
	for _, w := range weekdays {
		s.Hours[w] = h
	}
	return s
}

func TestEndFor(t *testing.T) {
	day := shiftOf(t, "07:00", "16:00", 1, 2, 3, 4, 5)
	night := shiftOf(t, "22:00", "06:00", 1, 2, 3, 4, 5)
	saturday := shiftOf(t, "20:00", "04:00", 6)
	whole := shiftOf(t, "06:00", "06:00", 1)
	toMidnight := shiftOf(t, "16:00", "00:00", 1)
	for _, c := range []struct {
		name  string
		shift *costing.Shift
		zone  string
		begun string
		want  string // empty: none
	}{
		{"by day", day, "Africa/Johannesburg", "2026-03-02T07:02:00+02:00", "2026-03-02T16:00:00+02:00"},
		{"before the start", day, "Africa/Johannesburg", "2026-03-02T05:00:00+02:00", "2026-03-02T16:00:00+02:00"},
		{"after the end", day, "Africa/Johannesburg", "2026-03-02T18:00:00+02:00", "2026-03-02T16:00:00+02:00"},
		{"a day without", day, "Africa/Johannesburg", "2026-03-01T07:00:00+02:00", ""},
		{"the local day counts, not the one in UTC", day, "Pacific/Chatham", "2026-06-01T06:30:00+12:45", "2026-06-01T16:00:00+12:45"},
		{"night, evening", night, "Africa/Johannesburg", "2026-03-02T21:58:00+02:00", "2026-03-03T06:00:00+02:00"},
		{"night, morning", night, "Africa/Johannesburg", "2026-03-03T02:00:00+02:00", "2026-03-03T06:00:00+02:00"},
		{"night, just over", night, "Africa/Johannesburg", "2026-03-03T06:00:00+02:00", "2026-03-04T06:00:00+02:00"},
		{"Friday's night on Saturday morning", night, "Africa/Johannesburg", "2026-03-07T05:59:59+02:00", "2026-03-07T06:00:00+02:00"},
		{"Saturday after it", night, "Africa/Johannesburg", "2026-03-07T06:00:00+02:00", ""},
		{"Sunday evening", night, "Africa/Johannesburg", "2026-03-08T22:00:00+02:00", ""},
		{"round the clock", whole, "Africa/Johannesburg", "2026-03-03T05:00:00+02:00", "2026-03-03T06:00:00+02:00"},
		{"until midnight", toMidnight, "Africa/Johannesburg", "2026-03-02T17:00:00+02:00", "2026-03-03T00:00:00+02:00"},
		{"until midnight, over", toMidnight, "Africa/Johannesburg", "2026-03-03T00:00:00+02:00", ""},
		{"an hour shorter in spring", saturday, "Europe/Berlin", "2026-03-28T20:00:00+01:00", "2026-03-29T04:00:00+02:00"},
		{"spring, after the change", saturday, "Europe/Berlin", "2026-03-29T03:30:00+02:00", "2026-03-29T04:00:00+02:00"},
		{"an hour longer in autumn", saturday, "Europe/Berlin", "2026-10-24T20:00:00+02:00", "2026-10-25T04:00:00+01:00"},
		{"autumn, the hour that comes twice", saturday, "Europe/Berlin", "2026-10-25T02:30:00+01:00", "2026-10-25T04:00:00+01:00"},
		{"west of Greenwich", saturday, "America/New_York", "2026-03-07T20:00:00-05:00", "2026-03-08T04:00:00-04:00"},
		{"no shift at all", nil, "Europe/Berlin", "2026-03-02T08:00:00+01:00", ""},
	} {
		begun, err := costing.ParseInstant(c.begun)
		if err != nil {
			t.Fatal(err)
		}
		z := zone(t, c.zone)
		got := ""
		if end, ok := c.shift.EndFor(begun, z); ok {
			got = end.Time().In(z).Format(time.RFC3339)
		}
		if got != c.want {
			t.Errorf("%s: the shift of %s ends at %q, want %q", c.name, c.begun, got, c.want)
		}
	}
}

// A night shift lasts what elapsed: eight hours, seven, nine.
func TestShiftLengthOverClockChanges(t *testing.T) {
	z := zone(t, "Europe/Berlin")
	night := costing.Span{Start: 22 * 60, End: 6 * 60}
	for day, hours := range map[string]costing.Instant{"2026-03-27": 8, "2026-03-28": 7, "2026-10-24": 9, "2026-10-25": 8} {
		if start, end := night.On(date(t, day), z); end-start != hours*3_600_000 {
			t.Errorf("the night of %s lasts %d ms, want %d h", day, end-start, hours)
		}
	}
}

// A shift's end lies after its start and no further off than a day and the
// hour of a clock change, in every zone.
func TestSpanRunsForward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := zone(t, rapid.SampledFrom(changing).Draw(t, "zone"))
		d := costing.Date(rapid.Int32Range(16_000, 25_000).Draw(t, "day")) // from 2013: Apia's left-out day is past
		s := costing.Span{Start: rapid.IntRange(0, 1439).Draw(t, "start"), End: rapid.IntRange(0, 1439).Draw(t, "end")}
		start, end := s.On(d, z)
		if end-start > 25*3_600_000 || end < start-3_600_000 {
			t.Fatalf("%v on %s in %s runs from %s to %s", s, d, z, start, end)
		}
	})
}

func TestBreaksOn(t *testing.T) {
	tea, lunch, friday := costing.Span{Start: 600, End: 615}, costing.Span{Start: 720, End: 750}, costing.Span{Start: 840, End: 900}
	s := &costing.Shift{Breaks: []costing.Break{{Span: tea}, {Weekday: 1, Span: lunch}, {Weekday: 5, Span: friday}}}
	for day, want := range map[string][]costing.Span{
		"2026-03-02": {tea, lunch}, "2026-03-03": {tea}, "2026-03-06": {tea, friday}, "2026-03-08": {tea},
	} {
		if got := s.BreaksOn(date(t, day)); !slices.Equal(got, want) {
			t.Errorf("breaks on %s: %v, want %v", day, got, want)
		}
	}
	if got := (*costing.Shift)(nil).BreaksOn(0); got != nil {
		t.Errorf("breaks of no shift: %v", got)
	}
}
