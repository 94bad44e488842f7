package clock_test

import (
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Bookings and pieces of one worker: what ends a booking, what takes time out
// of it, what cuts it.
func TestPieces(t *testing.T) {
	for _, c := range []struct{ name, entries, now, want string }{
		{
			"a job ends at the next", "Mon 07:00 J1, Mon 09:00 J2, Mon 11:00 off", "",
			"Mon 07:00 2h0m0s J1 ordinary, Mon 09:00 2h0m0s J2 ordinary",
		},
		{"indirect time", "Mon 07:00 clean, Mon 07:20 off", "", "Mon 07:00 20m0s clean ordinary"},
		{"seconds count", "Mon 07:00:10 J1, Mon 07:00:25 off", "", "Mon 07:00:10 15s J1 ordinary"},
		{"the break is taken out", "Mon 11:00 J1, Mon 13:00 off", "", "Mon 11:00 1h0m0s J1 ordinary, Mon 12:30 30m0s J1 ordinary"},
		{"on in the break", "Mon 12:10 J1, Mon 13:00 off", "", "Mon 12:30 30m0s J1 ordinary"},
		{"off in the break", "Mon 11:00 J1, Mon 12:10 off", "", "Mon 11:00 1h0m0s J1 ordinary"},
		{"nothing but break", "Mon 12:00 J1, Mon 12:30 off", "", ""},
		{"off without on", "Mon 07:00 off, Mon 08:00 off", "", ""},
		{"the same instant", "Mon 07:00 J1, Mon 07:00 J2, Mon 08:00 off", "", "Mon 07:00 1h0m0s J2 ordinary"},
		{"on to what one is on already", "Mon 07:00 J1, Mon 08:00 J1, Mon 09:00 off", "", "Mon 07:00 2h0m0s J1 ordinary"},
		{
			"the same job the next day", "Mon 07:00 J1, Tue 07:00 J1, Tue 08:00 off", "",
			"Mon 07:00 5h0m0s J1 ordinary provisional, Mon 12:30 3h30m0s J1 ordinary provisional, Tue 07:00 1h0m0s J1 ordinary",
		},
		{"cut at midnight", "Mon 22:00 J1, Tue 01:00 off", "", "Mon 22:00 2h0m0s J1 ordinary, Tue 00:00 1h0m0s J1 ordinary"},

		// Provisional: at the shift's end, or two hours where there is none to wait for.
		{
			"just believed", "Mon 07:00 J1, Mon 21:00 off", "",
			"Mon 07:00 5h0m0s J1 ordinary, Mon 12:30 4h0m0s J1 ordinary, Mon 16:30 4h30m0s J1 overtime",
		},
		{"not believed", "Mon 07:00 J1, Mon 21:00:01 off", "", "Mon 07:00 5h0m0s J1 ordinary provisional, Mon 12:30 3h30m0s J1 ordinary provisional"},
		{"begun after the shift", "Mon 17:00 J1, Tue 16:00 off", "", "Mon 17:00 2h0m0s J1 ordinary provisional"},
		{"no shift that day", "Sat 08:00 J1, Sun 10:00 off", "", "Sat 08:00 2h0m0s J1 ordinary provisional"},

		// Running, until the shift's end and the grace have passed.
		{"running", "Mon 07:00 J1", "Mon 08:30", "Mon 07:00 1h30m0s J1 ordinary running"},
		{"running in the grace", "Mon 13:00 J1", "Mon 16:30", "Mon 13:00 3h30m0s J1 ordinary running"},
		{"past the grace", "Mon 13:00 J1", "Mon 16:30:01", "Mon 13:00 3h0m0s J1 ordinary provisional"},
		{"running off shift", "Sat 08:00 J1", "Sat 10:30", "Sat 08:00 2h30m0s J1 ordinary running"},
		{"ended off shift", "Sat 08:00 J1", "Sat 10:31", "Sat 08:00 2h0m0s J1 ordinary provisional"},
		{"not begun", "Mon 07:00 J1", "Mon 06:00", ""},

		// Pay bands: nine hours a day, then 45 a week of what is still ordinary; Sunday double.
		{
			"past nine hours", "Mon 07:00 J1, Mon 12:00 J2, Mon 17:30 off", "",
			"Mon 07:00 5h0m0s J1 ordinary, Mon 12:30 4h0m0s J2 ordinary, Mon 16:30 1h0m0s J2 overtime",
		},
		{
			"past 45 hours", "Mon 07:00 J1, Mon 16:30 off, Tue 07:00 J1, Tue 16:30 off, Wed 07:00 J1, Wed 16:30 off, " +
				"Thu 07:00 J1, Thu 16:30 off, Fri 07:00 J1, Fri 15:30 off, Sat 07:00 J1, Sat 10:00 off", "",
			"Mon 07:00 5h0m0s J1 ordinary, Mon 12:30 4h0m0s J1 ordinary, Tue 07:00 5h0m0s J1 ordinary, Tue 12:30 4h0m0s J1 ordinary, " +
				"Wed 07:00 5h0m0s J1 ordinary, Wed 12:30 4h0m0s J1 ordinary, Thu 07:00 5h0m0s J1 ordinary, Thu 12:30 4h0m0s J1 ordinary, " +
				"Fri 07:00 5h0m0s J1 ordinary, Fri 12:30 3h0m0s J1 ordinary, Sat 07:00 1h0m0s J1 ordinary, Sat 08:00 2h0m0s J1 overtime",
		},
		{
			"daily overtime is no ordinary time of the week",
			"Mon 13:00 J1, Mon 23:00 off, Tue 13:00 J1, Tue 23:00 off, Wed 13:00 J1, Wed 23:00 off, Thu 13:00 J1, Thu 23:00 off, " +
				"Fri 13:00 J1, Fri 22:00 off", "",
			"Mon 13:00 9h0m0s J1 ordinary, Mon 22:00 1h0m0s J1 overtime, Tue 13:00 9h0m0s J1 ordinary, Tue 22:00 1h0m0s J1 overtime, " +
				"Wed 13:00 9h0m0s J1 ordinary, Wed 22:00 1h0m0s J1 overtime, Thu 13:00 9h0m0s J1 ordinary, Thu 22:00 1h0m0s J1 overtime, " +
				"Fri 13:00 9h0m0s J1 ordinary",
		},
		{"Sunday", "Sun 08:00 J1, Sun 20:00 off", "", "Sun 08:00 4h0m0s J1 double, Sun 12:30 7h30m0s J1 double"},
		{"into Sunday", "Sat 23:00 J1, Sun 01:00 off", "", "Sat 23:00 1h0m0s J1 ordinary, Sun 00:00 1h0m0s J1 double"},
		{"a holiday", "Fri 08:00 J1, Fri 10:00 off", "", "Fri 08:00 2h0m0s J1 double"},
	} {
		y := newYard(t)
		if c.name == "a holiday" {
			y.Holidays[monday+4] = "Founders' Day"
		}
		var now costing.Instant
		if c.now != "" {
			now = local(t, y, c.now[:3], c.now[4:])
		}
		if got := showAll(y, fold(t, y, "W1", entries(t, y, c.entries), now)); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// A crew's entry counts for a member who is on something since the same local
// day, for no longer than max_booking.
func TestCrewEntries(t *testing.T) {
	for _, c := range []struct{ name, entries, want string }{
		{"nobody is on", "Mon 07:00 J1 crew, Mon 08:00 off", ""},
		{"on since morning", "Mon 07:00 clean, Mon 08:00 J1 crew, Mon 09:00 off", "Mon 07:00 1h0m0s clean ordinary, Mon 08:00 1h0m0s J1 ordinary"},
		{"the crew goes off", "Mon 07:00 J1, Mon 08:00 off crew", "Mon 07:00 1h0m0s J1 ordinary"},
		{"on since yesterday", "Mon 22:00 clean, Tue 01:00 J1 crew, Tue 02:00 off", "Mon 22:00 2h0m0s clean ordinary, Tue 00:00 2h0m0s clean ordinary"},
		{
			"on for 14 hours", "Mon 01:00 clean, Mon 15:00 J1 crew, Mon 16:00 off",
			"Mon 01:00 9h0m0s clean ordinary, Mon 10:00 2h0m0s clean overtime, Mon 12:30 2h30m0s clean overtime, Mon 15:00 1h0m0s J1 overtime",
		},
		{
			"on for longer", "Mon 01:00 clean, Mon 15:00:01 J1 crew, Mon 15:30 off",
			"Mon 01:00 9h0m0s clean ordinary provisional, Mon 10:00 2h0m0s clean overtime provisional, Mon 12:30 3h0m0s clean overtime provisional",
		},
		{"went home", "Mon 07:00 J1, Mon 08:00 off, Mon 09:00 J2 crew, Mon 10:00 off", "Mon 07:00 1h0m0s J1 ordinary"},
	} {
		y := newYard(t)
		if got := showAll(y, fold(t, y, "W1", entries(t, y, c.entries), 0)); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// Clock rounding is to the nearest step of local time, half up.
func TestClockRounding(t *testing.T) {
	for _, c := range []struct {
		step          time.Duration
		entries, want string
	}{
		{0, "Mon 07:07:29 J1, Mon 08:00 off", "Mon 07:07:29 52m31s J1 ordinary"},
		{5 * time.Minute, "Mon 07:02:29 J1, Mon 08:02:30 off", "Mon 07:00 1h5m0s J1 ordinary"},
		{6 * time.Minute, "Mon 07:02:59 J1, Mon 08:03 off", "Mon 07:00 1h6m0s J1 ordinary"},
		{15 * time.Minute, "Mon 07:07:29 J1, Mon 08:07:30 off", "Mon 07:00 1h15m0s J1 ordinary"},
		{15 * time.Minute, "Mon 07:01 J1, Mon 07:07 off", ""},
		{15 * time.Minute, "Mon 23:53 J1, Tue 00:20 off", "Tue 00:00 15m0s J1 ordinary"},
	} {
		y := newYard(t)
		y.Policy.ClockRounding = always(c.step)
		if got := showAll(y, fold(t, y, "W1", entries(t, y, c.entries), 0)); got != c.want {
			t.Errorf("to %s, %s:\n got %s\nwant %s", c.step, c.entries, got, c.want)
		}
	}
	// Quarters of the clock on the wall, in a zone that is 45 minutes off.
	y := newYard(t)
	y.Zone, y.Policy.ClockRounding = zone(t, "Asia/Kathmandu"), always(30*time.Minute)
	if got, want := showAll(y, fold(t, y, "W1", entries(t, y, "Mon 07:14 J1, Mon 08:15 off"), 0)), "Mon 07:00 1h30m0s J1 ordinary"; got != want {
		t.Errorf("in Kathmandu: got %s, want %s", got, want)
	}
}

// The limits, the multipliers and the rate are those of the piece's day.
func TestPolicyIsDated(t *testing.T) {
	y := newYard(t)
	w := y.Workers["W1"]
	w.Rates = costing.Dated[costing.Price](nil).Add(monday+1, 10*unit)
	y.Policy.DailyOrdinary = always(8*time.Hour).Add(monday+2, 6*time.Hour)
	y.Policy.OvertimeMultiplier = always(costing.One).Add(monday+2, 3*costing.One)
	ps := fold(t, y, "W1", entries(t, y, "Mon 07:00 J1, Mon 08:00 off, Tue 13:00 J1, Tue 22:00 off, Wed 13:00 J1, Wed 20:00 off"), 0)
	want := "Mon 07:00 1h0m0s J1 ordinary no-rate, Tue 13:00 8h0m0s J1 ordinary, Tue 21:00 1h0m0s J1 overtime, " +
		"Wed 13:00 6h0m0s J1 ordinary, Wed 19:00 1h0m0s J1 overtime"
	if got := showAll(y, ps); got != want {
		t.Fatalf("got %s\nwant %s", got, want)
	}
	for i, want := range []struct{ base, premium costing.Money }{{0, 0}, {8000, 0}, {1000, 0}, {6000, 0}, {1000, 2000}} {
		if ps[i].Base != want.base || ps[i].Premium != want.premium {
			t.Errorf("piece %d costs %d + %d, want %d + %d", i, ps[i].Base, ps[i].Premium, want.base, want.premium)
		}
	}
}

// A fold starts each ISO week's running rounding and ordinary time afresh.
func TestWeekStartsAfresh(t *testing.T) {
	y := newYard(t)
	y.Workers["W1"].Rates = always[costing.Price](unit / 1000) // a tenth of a cent an hour
	// Twenty seconds make no cent in a week, but 18 000 of them make half a one.
	var list []*clock.Entry
	for week := costing.Date(0); week < 2; week++ {
		for _, e := range entries(t, y, "Mon 07:00 J1, Mon 12:00 off") {
			e.At += costing.Instant(week) * 7 * 86_400_000
			list = append(list, e)
		}
	}
	ps := fold(t, y, "W1", list, 0)
	if len(ps) != 2 || ps[0].Base != 1 || ps[1].Base != 1 {
		t.Errorf("half a cent in each of two weeks gave %+v", ps)
	}
}

func TestCorrections(t *testing.T) {
	y := newYard(t)
	at := func(hhmm string) costing.Instant { return local(t, y, "Mon", hhmm) }
	for _, c := range []struct {
		name        string
		corrections []*clock.Correction
		want        string
		unmatched   int
	}{
		{"none", nil, "Mon 07:00 2h0m0s J1 ordinary", 0},
		{
			"a missing entry",
			[]*clock.Correction{{ID: "c1", At: at("08:00"), Job: "J2"}},
			"Mon 07:00 1h0m0s J1 ordinary, Mon 08:00 1h0m0s J2 ordinary", 0,
		},
		{
			"a wrong entry put right",
			[]*clock.Correction{{ID: "c1", At: at("07:00"), Void: true}, {ID: "c2", At: at("07:00"), Job: "J2"}},
			"Mon 07:00 2h0m0s J2 ordinary", 0,
		},
		{
			"the same, the other way about",
			[]*clock.Correction{{ID: "c2", At: at("07:00"), Job: "J2"}, {ID: "c1", At: at("07:00"), Void: true}},
			"Mon 07:00 2h0m0s J2 ordinary", 0,
		},
		{"void of what was not scanned", []*clock.Correction{{ID: "c1", At: at("07:00"), Void: true, Job: "J3"}}, "Mon 07:00 2h0m0s J1 ordinary", 1},
		{
			"void of an off",
			[]*clock.Correction{{ID: "c1", At: at("09:00"), Void: true, Off: true}, {ID: "c2", At: at("10:00"), Off: true}},
			"Mon 07:00 3h0m0s J1 ordinary", 0,
		},
		{
			"void of an added entry",
			[]*clock.Correction{{ID: "c1", At: at("08:00"), Job: "J2"}, {ID: "c2", At: at("08:00"), Void: true}},
			"Mon 07:00 2h0m0s J1 ordinary", 0,
		},
	} {
		scanned := entries(t, y, "Mon 07:00 J1, Mon 09:00 off")
		list, unmatched := clock.Corrected(scanned, c.corrections)
		if got := showAll(y, fold(t, y, "W1", list, 0)); got != c.want || len(unmatched) != c.unmatched {
			t.Errorf("%s:\n got %s, %d unmatched\nwant %s, %d unmatched", c.name, got, len(unmatched), c.want, c.unmatched)
		}
		if len(scanned) != 2 || scanned[0].VoidedBy != "" {
			t.Errorf("%s: what was scanned was changed", c.name)
		}
	}
}

// Entries sort by (instant, station, n); a correction comes after what was
// scanned at its instant.
func TestEntryOrder(t *testing.T) {
	sorted := []*clock.Entry{
		{At: 1, Station: "b", N: 9},
		{At: 2, Station: "a", N: 3},
		{At: 2, Station: "a", N: 10},
		{At: 2, Station: "b", N: 1},
		{At: 2, Station: "b", N: 1, ID: "x"},
		{At: 2, Correction: true},
		{At: 3},
	}
	for i, a := range sorted {
		for j, b := range sorted {
			want := 0
			if i < j {
				want = -1
			} else if i > j {
				want = 1
			}
			if got := clock.Compare(a, b); got != want {
				t.Errorf("Compare(%d, %d) = %d, want %d", i, j, got, want)
			}
		}
	}
}

// A voided entry counts for nothing.
func TestVoidedEntry(t *testing.T) {
	y := newYard(t)
	list := entries(t, y, "Mon 07:00 J1, Mon 08:00 J2, Mon 09:00 off")
	list[1].VoidedBy = "u1"
	if got, want := showAll(y, fold(t, y, "W1", list, 0)), "Mon 07:00 2h0m0s J1 ordinary"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
