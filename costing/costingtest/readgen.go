package costingtest

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"time"
)

// timed is a read as it will stand in reads.csv.
type timed struct {
	id, station, payload string
	n                    int
	at                   int64
}

// codebook finds a payload by kind and key.
type codebook map[string]string

// wish is a sentence somebody means to scan at about some second.
type wish struct {
	at       int64
	station  string
	payloads []string
	loose    bool // the context before it should be over
}

// Reads makes the reads of the yard for the codes it was given. They void some
// entries too: the corrections file is only complete afterwards.
func (y *Yard) Reads(codes []byte) []byte {
	rows, err := parse(codes)
	if err != nil {
		panic(err)
	}
	book := codebook{}
	for _, r := range rows {
		book[strings.TrimSpace(r["kind"]+" "+r["key"])] = r["payload"]
	}
	wishes := append(y.clocking(book), y.storing(book)...)
	slices.SortStableFunc(wishes, func(a, b wish) int { return int(a.at - b.at) })
	last, counter := map[string]int64{}, map[string]int{}
	for _, w := range wishes {
		at := max(w.at, last[w.station]+y.gap(w.loose))
		for i, payload := range w.payloads {
			if i > 0 && !y.chance(4) { // two reads may bear one second
				at += y.step()
			}
			counter[w.station]++
			y.reads = append(y.reads, timed{y.uuid(), w.station, payload, counter[w.station], at})
			y.used[at] = true
			if y.chance(3) { // the scanner bounced
				counter[w.station]++
				at += int64(y.r.IntN(3))
				y.reads = append(y.reads, timed{y.uuid(), w.station, payload, counter[w.station], at})
			}
		}
		last[w.station] = at
		if len(w.payloads) == 2 && y.chance(2) {
			y.void(book, w.payloads[0], at)
		}
	}
	return y.readsCSV(y.reads)
}

// void has the office void what a worker scanned at a second.
func (y *Yard) void(book codebook, badge string, at int64) {
	for _, w := range y.workers {
		if book["worker "+w["number"]] == badge {
			y.row("corrections", "worker at kind target who why", w["number"], time.Unix(at, 0).UTC().Format(time.RFC3339), "void", "",
				"The office", "Wrong card")
		}
	}
}

func (y *Yard) gap(loose bool) int64 {
	if loose || y.chance(60) {
		return 31 + int64(y.r.IntN(300))
	}
	return 1 + int64(y.r.IntN(29))
}

// step is the time between two reads of a sentence: seldom too long.
func (y *Yard) step() int64 {
	switch {
	case y.chance(2):
		return 31 + int64(y.r.IntN(9))
	case y.chance(5):
		return 20 + int64(y.r.IntN(10))
	}
	return 1 + int64(y.r.IntN(6))
}

func (y *Yard) uuid() string {
	a, b := y.r.Uint64(), y.r.Uint64()
	return fmt.Sprintf("%08x-%04x-4%03x-8%03x-%012x", uint32(a), uint16(a>>32), a>>52, b&0xfff, b>>16)
}

func (y *Yard) readsCSV(reads []timed) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"id", "station", "n", "at", "payload"}) // a buffer takes everything
	for _, r := range reads {
		_ = w.Write([]string{r.id, r.station, fmt.Sprint(r.n), time.Unix(r.at, 0).UTC().Format(time.RFC3339), r.payload})
	}
	w.Flush()
	return b.Bytes()
}

// Shuffled gives the same reads in parts and out of order, some of them twice.
func (y *Yard) Shuffled(parts int) [][]byte {
	mixed := slices.Clone(y.reads)
	y.r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	files := [][]byte{}
	for part := range slices.Chunk(mixed, len(mixed)/parts+1) {
		part = append(slices.Clone(part), pick(y, mixed), pick(y, mixed))
		files = append(files, y.readsCSV(part))
	}
	return files
}

// SomeRead is the instant of one of the reads.
func (y *Yard) SomeRead() time.Time { return time.Unix(pick(y, y.reads).at, 0).UTC() }

func (y *Yard) second(day int, clock string) int64 {
	date := y.start.AddDate(0, 0, day)
	d, _ := time.Parse("15:04", clock)
	return time.Date(date.Year(), date.Month(), date.Day(), d.Hour(), d.Minute(), 0, 0, y.zone).Unix()
}

// clocking makes the days of the workers, and what the team leaders state.
func (y *Yard) clocking(book codebook) []wish {
	list := []wish{}
	gate := func() string { return y.one("G1", "G1", "G2") }
	for day := range y.days {
		for _, w := range y.workers {
			if y.chance(15) {
				continue
			}
			begin := map[string]string{"day": "07:00", "late": "14:00", "night": "21:00"}[w["shift"]]
			at := y.second(day, begin) + int64(y.r.IntN(2400)) - 1200
			end := at + int64(7*3600+y.r.IntN(5*3600))
			badge := book["worker "+w["number"]]
			for at < end {
				y.now = at
				list = append(list, wish{at, gate(), y.onTo(book, badge), false})
				at += int64(1200 + y.r.IntN(5*3600))
			}
			if y.chance(75) {
				list = append(list, wish{end, gate(), []string{badge, book["off"]}, false})
			}
		}
		for _, crew := range []string{"crew A", "crew B"} {
			for range y.r.IntN(3) {
				at := y.second(day, "06:00") + int64(y.r.IntN(80000))
				list = append(list, wish{at, gate(), append([]string{book[crew]}, y.target(book)), false})
			}
		}
		for range y.r.IntN(3) {
			at := y.second(day, "08:00") + int64(y.r.IntN(30000))
			state := y.one("progress 25", "progress 50", "progress 75", "done")
			list = append(list, wish{at, gate(), []string{
				book["job "+pick(y, y.jobs)["job"]], book[state], book["worker "+pick(y, y.workers)["number"]],
			}, false})
		}
	}
	return list
}

func (y *Yard) target(book codebook) string {
	switch {
	case y.chance(10):
		return book["off"]
	case y.chance(20):
		return book["indirect "+y.one("CLEAN", "WAIT")]
	}
	return book["job "+pick(y, y.jobs)["job"]]
}

// onTo is a worker clocking on, with the slips people make.
func (y *Yard) onTo(book codebook, badge string) []string {
	s := []string{badge, y.target(book)}
	switch {
	case y.chance(6):
		s = append(s, y.target(book)) // mis-picked, put right
	case y.chance(5):
		s = append(s, book["undo"])
	case y.chance(3):
		s = append(s, book["undo"], book["job J1"], book["undo"], book["undo"])
	case y.chance(3):
		s = []string{badge, book["cancel"], book["job J4"]}
	case y.chance(3):
		s = []string{badge, "NOSUCH01", s[1]}
	case y.chance(3):
		s = []string{" " + strings.ToLower(badge), "]C0" + s[1] + "\t"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book["off"], book[y.lotCard()], "2.5"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book["indirect WAIT"], book[y.lotCard()], "1.5"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book["done"], book[y.lotCard()], "1,25", badge}
	case y.chance(3):
		s = []string{badge, book["job J2"], book["progress 50"], book["return"], book[y.lotCard()], "1.75", badge}
	case y.chance(3):
		s = []string{badge, book["job J2"], book[y.lotCard()], book["job J1"], "6"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book[y.lotCard()], book["return"], "0.5"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book[y.lotCard()], book["off"], "0.625"}
	case y.chance(3):
		s = []string{badge, book["job J2"], book[y.lotCard()], "0", "-2", "1e3", "2.1234567", "0.75"}
	case y.chance(4):
		s = append([]string{badge, book["job J1"]}, y.issues(book)...)
	}
	return s
}
