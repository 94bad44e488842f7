package costing

import (
	"fmt"
	"time"
)

// Span is a stretch of a day in minutes after local midnight. An end at or
// before the start lies on the next day.
type Span struct{ Start, End int }

// ParseClock reads a local time of day, HH:MM, as minutes after midnight.
func ParseClock(s string) (int, error) {
	t, err := time.Parse("15:04", s)
	if err != nil || len(s) != 5 {
		return 0, fmt.Errorf("%q is not a time of day such as 07:30", s)
	}
	return t.Hour()*60 + t.Minute(), nil
}

// FormatClock writes minutes after midnight as HH:MM.
func FormatClock(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60) }

// On places the span on a day.
func (s Span) On(day Date, zone *time.Location) (start, end Instant) {
	last := s.End
	if last <= s.Start {
		last += 24 * 60
	}
	return day.At(s.Start, zone), day.At(last, zone)
}

// Break is an unpaid break; Weekday 0 is every day.
type Break struct {
	Weekday int
	Span
}

// Shift is a weekly pattern of work: hours by weekday (1 = Monday) and breaks.
type Shift struct {
	Key    string
	Hours  map[int]Span
	Breaks []Break // by weekday and start
}

// BreaksOn lists the breaks that fall on a day, whether or not the shift works then.
func (s *Shift) BreaksOn(day Date) []Span {
	if s == nil {
		return nil
	}
	var spans []Span
	for _, b := range s.Breaks {
		if b.Weekday == 0 || b.Weekday == day.Weekday() {
			spans = append(spans, b.Span)
		}
	}
	return spans
}

// EndFor is the end of the shift that a booking begun at an instant belongs
// to: the shift of its local day, or the night shift of the day before that
// still runs. There may be none.
func (s *Shift) EndFor(begun Instant, zone *time.Location) (Instant, bool) {
	if s == nil {
		return 0, false
	}
	day := DateOf(begun, zone)
	if h, ok := s.Hours[(day - 1).Weekday()]; ok && h.End <= h.Start {
		if _, end := h.On(day-1, zone); begun < end {
			return end, true
		}
	}
	if h, ok := s.Hours[day.Weekday()]; ok {
		_, end := h.On(day, zone)
		return end, true
	}
	return 0, false
}
