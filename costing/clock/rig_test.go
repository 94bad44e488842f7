package clock_test

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// tb is what a helper asks of a test, a fuzz target or a property.
type tb interface {
	Helper()
	Fatalf(format string, args ...any)
}

// monday is the first day of the week that the tests play in.
var monday = costing.NewDate(2026, time.March, 2)

func zone(t tb, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return z
}

// always is a dated value that always held.
func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const unit = costing.Million

// newYard is a yard of two laminators, three jobs and a few lots. The shift is
// 07:00 to 16:00 on weekdays, with half an hour unpaid at noon.
func newYard(t tb) *costing.Yard {
	t.Helper()
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Zone:     zone(t, "Africa/Johannesburg"),
		Holidays: map[costing.Date]string{},
		Workers: map[string]*costing.Worker{
			"W1": {Key: "W1", Grade: "laminator", Crew: "C1", Shift: "day", Rates: always[costing.Price](20 * unit)},
			"W2": {Key: "W2", Grade: "laminator", Crew: "C1", Shift: "day", Rates: always[costing.Price](24 * unit)},
			"W9": {Key: "W9", Grade: "leader", Shift: "day", SignsOff: true, Rates: always[costing.Price](30 * unit)},
		},
		Crews:     map[string]*costing.Crew{"C1": {Key: "C1", Members: []string{"W1", "W2"}}},
		Shifts:    map[string]*costing.Shift{"day": {Key: "day", Hours: map[int]costing.Span{}}},
		Indirects: map[string]*costing.Indirect{"clean": {Key: "clean"}},
		Stations: map[string]*costing.Station{
			"clock": {Key: "clock", Kind: costing.ClockStation}, "stores": {Key: "stores", Kind: costing.StoresStation},
		},
		Stages: map[string]*costing.Stage{"lay": {Key: "lay", Absorption: always[costing.Price](15 * unit)}},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
			"J2": {Key: "J2", Stage: "lay", Purpose: costing.Build, Rush: true, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
			"J3": {
				Key: "J3", Stage: "lay", Purpose: costing.Rework,
				Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}},
			},
		},
		Items: map[string]*costing.Item{
			"glass": {Key: "glass", StockUnit: costing.SquareMetre, RollWidth: 1_270_000},
			"resin": {Key: "resin", StockUnit: costing.Kilogram, Density: 1_120_000},
		},
		Lots: map[string]*costing.Lot{"L1": {Key: "L1", Item: "glass"}, "L2": {Key: "L2", Item: "resin"}, "L3": {Key: "L3", Item: "gone"}},
	}
	shift := y.Shifts["day"]
	for weekday := 1; weekday <= 5; weekday++ {
		shift.Hours[weekday] = costing.Span{Start: 7 * 60, End: 16 * 60}
	}
	shift.Breaks = []costing.Break{{Span: costing.Span{Start: 12 * 60, End: 12*60 + 30}}}
	return y
}

var weekdays = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// local is the instant of "Tue 07:30" or "Tue 07:30:15" in the tests' week.
func local(t tb, y *costing.Yard, day, hhmm string) costing.Instant {
	t.Helper()
	for i, name := range weekdays {
		if name != day {
			continue
		}
		minutes, err := costing.ParseClock(hhmm[:5])
		if err != nil {
			t.Fatalf("%v", err)
		}
		at := (monday + costing.Date(i)).At(minutes, y.Zone)
		if len(hhmm) == 8 {
			seconds, err := strconv.Atoi(hhmm[6:])
			if err != nil {
				t.Fatalf("%v", err)
			}
			at += costing.Instant(seconds * 1000)
		}
		return at
	}
	t.Fatalf("%q is no weekday", day)
	return 0
}

// entries reads "Mon 07:00 J1, Mon 16:00 off". A crew's entry ends in "crew".
func entries(t tb, y *costing.Yard, script string) []*clock.Entry {
	t.Helper()
	var list []*clock.Entry
	for i, part := range strings.Split(script, ",") {
		f := strings.Fields(part)
		if len(f) < 3 {
			t.Fatalf("%q is no entry", part)
		}
		e := &clock.Entry{
			ID: fmt.Sprintf("e%d", i+1), At: local(t, y, f[0], f[1]), Station: "clock", N: int64(i + 1),
			Kind: clock.ClockOn, Worker: "W1",
		}
		switch {
		case f[2] == "off":
			e.Kind = clock.ClockOff
		case y.Jobs[f[2]] != nil:
			e.Job = f[2]
		default:
			e.Indirect = f[2]
		}
		if len(f) > 3 {
			e.Worker, e.Crew = "", "C1"
		}
		list = append(list, e)
	}
	return list
}

// fold folds a worker's entries in order and counts the open booking up to
// now, where now is not nought.
func fold(t tb, y *costing.Yard, worker string, list []*clock.Entry, now costing.Instant) []clock.Piece {
	t.Helper()
	var pieces []clock.Piece
	cw := clock.NewClockwork(y, func(p *clock.Piece) error {
		pieces = append(pieces, *p)
		return nil
	})
	var f clock.Fold
	for _, e := range list {
		if err := cw.Apply(&f, y.Workers[worker], e); err != nil {
			t.Fatalf("entry %s: %v", e.ID, err)
		}
	}
	if now != 0 {
		if err := cw.Until(&f, y.Workers[worker], now); err != nil {
			t.Fatalf("%v", err)
		}
	}
	return pieces
}

// show writes a piece as "Mon 07:00 5h0m0s J1 ordinary", with what marks it.
func show(y *costing.Yard, p clock.Piece) string {
	start := time.Unix(p.Start, 0).In(y.Zone).Format("15:04:05")
	s := fmt.Sprintf("%s %s %s %s%s %s", weekdays[p.Date.Weekday()-1], strings.TrimSuffix(start, ":00"),
		time.Duration(p.Seconds)*time.Second, p.Job, p.Indirect, p.Band)
	if p.Provisional {
		s += " provisional"
	}
	if p.Running {
		s += " running"
	}
	if p.NoRate {
		s += " no-rate"
	}
	return s
}

func showAll(y *costing.Yard, ps []clock.Piece) string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = show(y, p)
	}
	return strings.Join(lines, ", ")
}
