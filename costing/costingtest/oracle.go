package costingtest

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Row is one line of a yard file, by column.
type Row map[string]string

// Oracle is a yard as its files and reads tell it.
type Oracle struct {
	files  map[string][]Row
	codes  map[string]Row // by payload
	reads  []read
	zone   *time.Location
	digits int
}

type read struct {
	station, payload string
	n                int
	at               time.Time
}

// Open reads the yard files of a folder, the codes as the program prints them,
// and the reads.
func Open(dir string, codes, reads []byte) (*Oracle, error) {
	o := &Oracle{files: map[string][]Row{}, codes: map[string]Row{}}
	names, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		if o.files[strings.TrimSuffix(filepath.Base(name), ".csv")], err = parse(text); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	if o.zone, err = time.LoadLocation(o.policy("time_zone", "UTC", "")); err != nil {
		return nil, err
	}
	o.digits = 2
	switch o.policy("currency", "EUR", "") {
	case "JPY", "ISK":
		o.digits = 0
	case "KWD", "BHD":
		o.digits = 3
	}
	rows, err := parse(codes)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		o.codes[r["payload"]] = r
	}
	if rows, err = parse(reads); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, r := range rows {
		if seen[r["id"]] {
			continue
		}
		seen[r["id"]] = true
		n, err := strconv.Atoi(r["n"])
		if err != nil {
			return nil, err
		}
		o.reads = append(o.reads, read{r["station"], r["payload"], n, instant(r["at"])})
	}
	slices.SortFunc(o.reads, func(a, b read) int { return before(a.at, a.station, a.n, b.at, b.station, b.n) })
	return o, nil
}

func parse(text []byte) ([]Row, error) {
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(lines) == 0 {
		return nil, err
	}
	rows := []Row{}
	for _, line := range lines[1:] {
		row := Row{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// before orders what happened: by instant, station and the station's counter.
func before(at time.Time, station string, n int, at2 time.Time, station2 string, n2 int) int {
	if c := at.Compare(at2); c != 0 {
		return c
	}
	if c := strings.Compare(station, station2); c != 0 {
		return c
	}
	return n - n2
}

func instant(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

// find gives the row of a file whose column holds a value, or an empty one.
func (o *Oracle) find(file, column, value string) Row {
	for _, r := range o.files[file] {
		if r[column] == value {
			return r
		}
	}
	return Row{}
}

// dated gives the value in force on a date among rows that bear a "from".
func dated(rows []Row, is func(Row) bool, value, date string) (string, bool) {
	from, found, got := "", false, ""
	for _, r := range rows {
		if is(r) && r["from"] <= date && (!found || r["from"] >= from) {
			from, found, got = r["from"], true, r[value]
		}
	}
	return got, found
}

func (o *Oracle) policy(key, otherwise, date string) string {
	v, ok := dated(o.files["policy"], func(r Row) bool { return r["key"] == key }, "value", date)
	if !ok {
		return otherwise
	}
	return v
}

func (o *Oracle) span(key, otherwise, date string) time.Duration {
	d, err := time.ParseDuration(o.policy(key, otherwise, date))
	if err != nil {
		panic(err)
	}
	return d
}

// rate gives the value in force on a date of the rows about one key; none is zero.
func (o *Oracle) rate(file, column, key, value, date string) *big.Rat {
	v, _ := dated(o.files[file], func(r Row) bool { return r[column] == key }, value, date)
	return num(v)
}

// share is a hull's part of a job.
type share struct {
	hull   string
	weight *big.Rat
}

// shares lists the hulls of a job in the order they are written.
func (o *Oracle) shares(job string) []share {
	j := o.find("jobs", "job", job)
	if j["hull"] != "" {
		return []share{{j["hull"], whole(1)}}
	}
	list := []share{}
	for part := range strings.SplitSeq(j["shares"], ";") {
		hull, weight, _ := strings.Cut(part, ":")
		list = append(list, share{strings.TrimSpace(hull), num(strings.TrimSpace(weight))})
	}
	return list
}

// fraction is what a hull has of a job.
func fraction(list []share, hull string) *big.Rat {
	part, total := new(big.Rat), new(big.Rat)
	for _, s := range list {
		total.Add(total, s.weight)
		if s.hull == hull {
			part.Add(part, s.weight)
		}
	}
	return quo(part, total)
}

func weights(list []share) []*big.Rat {
	w := []*big.Rat{}
	for _, s := range list {
		w = append(w, s.weight)
	}
	return w
}
