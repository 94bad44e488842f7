package handlers

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"hulltally/models"
)

// timeline is a person's day as a picture: what was booked on a ground of
// hours, the breaks, and where somebody corrected. The table beside it says
// the same.
type timeline struct {
	Width, Height int64
	Hours         []timelineHour
	Bars          []timelineBar
	Breaks        []timelineBar
	Marks         []timelineMark
	Shift         *timelineBar
	Says          string
}

type timelineHour struct {
	X    int64
	Name string
}

type timelineBar struct {
	X, W         int64
	Class, Label string
	Title        string
	Hatched      bool
	Ragged       bool // nobody has ended it
	LabelX       int64
}

type timelineMark struct {
	X     int64
	Title string
}

const (
	timelineWidth = 960
	timelineLeft  = 24
)

func (d *leaderDesk) timeline(s *models.DaySheet) *timeline {
	begin := s.Day.At(0, d.yard.Zone).Second()
	end := (s.Day + 1).At(0, d.yard.Zone).Second()
	from, to := end, begin
	widen := func(a, b int64) {
		from, to = min(from, max(a, begin)), max(to, min(b, end))
	}
	for _, p := range s.Pieces {
		widen(p.Start, p.Start+p.Seconds)
	}
	if s.Shift != [2]int64{} {
		widen(s.Shift[0], s.Shift[1])
	}
	for _, c := range s.Corrections {
		widen(c.At.Second(), c.At.Second())
	}
	if from >= to {
		from, to = begin+6*3600, begin+18*3600
	}
	from, to = max(begin, from-from%3600), min(end, to+3600-to%3600)
	x := func(second int64) int64 {
		second = min(max(second, from), to)
		return timelineLeft + (second-from)*(timelineWidth-2*timelineLeft)/(to-from)
	}
	t := &timeline{Width: timelineWidth, Height: 150}
	for h := from; h <= to; h += 3600 {
		t.Hours = append(t.Hours, timelineHour{x(h), time.Unix(h, 0).In(d.yard.Zone).Format("15")})
	}
	if s.Shift != [2]int64{} {
		t.Shift = &timelineBar{X: x(s.Shift[0]), W: x(s.Shift[1]) - x(s.Shift[0])}
	}
	for _, b := range s.Breaks {
		t.Breaks = append(t.Breaks, timelineBar{X: x(b[0]), W: max(1, x(b[1])-x(b[0]))})
	}
	var said []string
	for i := range s.Pieces {
		p := &s.Pieces[i]
		bar := timelineBar{X: x(p.Start), W: max(2, x(p.Start+p.Seconds)-x(p.Start)), Class: "on-job", Hatched: p.Provisional, Ragged: p.Running}
		name := p.Job
		if p.Job == "" {
			bar.Class, name = "on-other", d.doing(p)
		}
		bar.LabelX = bar.X + 5
		if fits := (bar.W - 8) / 8; fits >= 3 {
			bar.Label = shortened(name, int(fits))
		}
		e := s.Opened[p.Opened]
		bar.Title = fmt.Sprintf("%s to %s %s %s", d.second(p.Start), d.second(p.Start+p.Seconds), d.doing(p), marks(p, e))
		said = append(said, strings.TrimSpace(bar.Title))
		t.Bars = append(t.Bars, bar)
	}
	for _, c := range s.Corrections {
		t.Marks = append(t.Marks, timelineMark{x(c.At.Second()), d.second(c.At.Second()) + " " + d.correctionWords(c)})
		said = append(said, "corrected at "+d.second(c.At.Second()))
	}
	t.Says = "Nothing is booked."
	if len(said) > 0 {
		t.Says = strings.Join(said, "; ") + "."
	}
	return t
}

func shortened(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most-1]) + "…"
}

// sortedKeys lists a map's keys in order.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
