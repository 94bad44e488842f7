package costingtest

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Yard makes the files of a small nasty yard, and reads to go with them.
type Yard struct {
	r     *rand.Rand
	zone  *time.Location
	start time.Time // local midnight of the first working day
	days  int
	files map[string][][]string

	workers, jobs, lots, items []Row
	used                       map[int64]bool // seconds at which something happened
	reads                      []timed
	now                        int64 // the second a sentence is thought of
}

// place is a time zone and a Monday shortly before its clocks change.
type place struct{ zone, monday string }

var places = []place{
	{"Europe/Lisbon", "2026-03-23"},
	{"Europe/Lisbon", "2026-10-19"},
	{"America/New_York", "2026-03-02"},
	{"America/New_York", "2026-10-26"},
	{"Australia/Lord_Howe", "2026-03-30"},
	{"Australia/Lord_Howe", "2026-09-28"},
	{"Asia/Kathmandu", "2026-04-27"},
	{"Africa/Cairo", "2026-04-20"},
	{"Africa/Cairo", "2026-10-26"},
	{"Africa/Johannesburg", "2026-02-23"},
	{"Pacific/Auckland", "2026-03-30"},
	{"America/Havana", "2026-03-02"},
}

// NewYard makes the yard of a seed.
func NewYard(seed uint64) *Yard {
	y := &Yard{r: rand.New(rand.NewPCG(seed, 77)), days: 9, files: map[string][][]string{}, used: map[int64]bool{}}
	at := places[seed%uint64(len(places))]
	zone, err := time.LoadLocation(at.zone)
	if err != nil {
		panic(err)
	}
	y.zone = zone
	if y.start, err = time.ParseInLocation(time.DateOnly, at.monday, zone); err != nil {
		panic(err)
	}
	y.policy(at.zone)
	y.people()
	y.hulls()
	y.materials()
	y.estimate()
	y.documents()
	return y
}

// Start is the midnight the yard's work begins at; End is after all of it.
func (y *Yard) Start() time.Time { return y.start }

// End is an instant after the last read, when bookings may still be running.
func (y *Yard) End() time.Time {
	return y.start.AddDate(0, 0, y.days).Add(time.Duration(6*3600+y.r.IntN(14*3600)) * time.Second)
}

// Write writes the yard files into a folder, all of them or without the last
// rows of those that an office adds to as time goes by.
func (y *Yard) Write(dir string, all bool) error {
	for name, rows := range y.files {
		if !all && slices.Contains([]string{"invoices", "counts", "corrections", "bought", "holidays", "overheads"}, name) {
			rows = rows[:len(rows)-1]
		}
		if !all {
			rows = y.earlier(name, rows)
		}
		var b bytes.Buffer
		if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, name+".csv"), b.Bytes(), 0o600); err != nil {
			return err
		}
	}
	return nil
}

// earlier is how a file's first rows looked before somebody thought again.
func (y *Yard) earlier(name string, rows [][]string) [][]string {
	was := map[string]string{
		"workers.crew": "B", "jobs.rush": "yes", "jobs.waste_factor": "0.3", "items.waste_factor": "0.07", "lots.price": "77.7",
		"rates.rate": "12.34", "estimate.quantity": "3.5", "shifts.end": "15:00", "hulls.price": "7000", "jobs.purpose": "rework",
	}
	list := slices.Clone(rows)
	for n := 1; n < min(3, len(list)); n++ {
		list[n] = slices.Clone(list[n])
		for i, column := range list[0] {
			if value, changes := was[name+"."+column]; changes && (column != "purpose" || list[n][5] == "") {
				list[n][i] = value
			}
		}
	}
	return list
}

// row adds a row to a file; the first row names the columns.
func (y *Yard) row(file, columns string, values ...string) Row {
	names := strings.Fields(columns)
	if len(names) != len(values) {
		panic(file + ": " + columns)
	}
	if y.files[file] == nil {
		y.files[file] = [][]string{names}
	}
	y.files[file] = append(y.files[file], values)
	row := Row{}
	for i, name := range names {
		row[name] = values[i]
	}
	return row
}

func (y *Yard) chance(percent int) bool { return y.r.IntN(100) < percent }

func pick[T any](y *Yard, list []T) T { return list[y.r.IntN(len(list))] }

func (y *Yard) one(words ...string) string { return pick(y, words) }

// decimal writes a number between two bounds with so many places.
func (y *Yard) decimal(from, to int, places int) string {
	unit := 1
	for range places {
		unit *= 10
	}
	n := from*unit + y.r.IntN((to-from)*unit+1)
	if places == 0 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d.%0*d", n/unit, places, n%unit)
}

func (y *Yard) day(n int) string { return y.start.AddDate(0, 0, n).Format(time.DateOnly) }

// moment gives an instant some seconds after the start, never twice the same.
func (y *Yard) moment(seconds int) string {
	at := y.start.Unix() + int64(seconds)
	for y.used[at] {
		at++
	}
	y.used[at] = true
	return time.Unix(at, 0).UTC().Format(time.RFC3339)
}

func (y *Yard) anyMoment() string { return y.moment(y.r.IntN(y.days * 86400)) }

func (y *Yard) policy(zone string) {
	set := func(key, value string) { y.row("policy", "key from value", key, "", value) }
	set("name", "Sandbar Works")
	set("currency", y.one("EUR", "EUR", "JPY", "KWD"))
	set("time_zone", zone)
	set("clock_rounding", y.one("none", "none", "5m", "6m", "15m"))
	set("on_cost", y.one("0.1875", "0.233333", "0"))
	set("overtime_multiplier", y.one("1.5", "1.333333"))
	set("daily_ordinary", y.one("9h", "8h", "7h30m"))
	set("weekly_ordinary", y.one("45h", "38h", "20h"))
	if y.chance(30) {
		set("premium_on_cost", "yes")
	}
	if y.chance(40) {
		set("max_booking", y.one("12h", "13h"))
		set("grace", y.one("15m", "1h"))
		set("no_shift_cap", y.one("1h", "3h"))
	}
	if y.chance(50) {
		y.row("policy", "key from value", "on_cost", y.day(3), "0.25")
		y.row("policy", "key from value", "daily_ordinary", y.day(2), "6h")
		y.row("policy", "key from value", "weekly_ordinary", y.day(2+y.r.IntN(6)), "30h")
		y.row("policy", "key from value", "double_multiplier", y.day(1), "2.25")
	}
}

func (y *Yard) people() {
	for weekday := 1; weekday <= 6; weekday++ {
		w := fmt.Sprint(weekday)
		y.row("shifts", "shift weekday start end", "day", w, "07:00", y.one("16:00", "15:30"))
		if weekday < 6 {
			y.row("shifts", "shift weekday start end", "night", w, "21:00", "06:00")
			y.row("shifts", "shift weekday start end", "late", w, "14:00", "23:30")
		}
	}
	y.row("breaks", "shift weekday start end", "day", "", "09:30", "09:45")
	y.row("breaks", "shift weekday start end", "day", "", "12:00", "12:30")
	y.row("breaks", "shift weekday start end", "day", "5", "14:30", "15:00")
	y.row("breaks", "shift weekday start end", "night", "", "23:40", "00:25")
	y.row("breaks", "shift weekday start end", "night", y.one("", "3"), "04:00", "04:20")
	y.row("breaks", "shift weekday start end", "late", "", "18:00", "18:30")
	y.row("holidays", "date name", y.day(y.r.IntN(5)), "Harbour day")
	for _, g := range []string{"fair", "trim", "wire"} {
		y.row("grades", "grade from standard_rate", g, "2025-01-01", y.decimal(18, 40, 4))
		y.row("grades", "grade from standard_rate", g, "2026-01-15", y.decimal(18, 40, 2))
	}
	for _, c := range []string{"A", "B"} {
		y.row("crews", "crew name", c, "Crew "+c)
	}
	for _, n := range []string{"CLEAN", "WAIT"} {
		y.row("indirects", "indirect name", n, n)
	}
	for i := range 5 {
		number := fmt.Sprint(11 + i)
		y.workers = append(y.workers, y.row("workers", "number name grade crew shift signs_off", number, "Worker "+number,
			y.one("fair", "trim", "wire"), y.one("A", "B", "A", ""), y.one("day", "day", "night", "late"), y.one("yes", "no")))
		y.row("rates", "worker from rate", number, "2025-06-01", y.decimal(9, 30, 6))
		if y.chance(60) {
			y.row("rates", "worker from rate", number, y.day(y.r.IntN(8)), y.decimal(9, 30, 2))
		}
	}
	y.row("stations", "station name kind place", "G1", "Gate", "clock", "ashore")
	y.row("stations", "station name kind place", "G2", "Pontoon", "clock", "afloat")
	y.row("stations", "station name kind place", "S1", "Stores", "stores", "ashore")
}
