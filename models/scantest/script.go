package scantest

import (
	"fmt"
	"strings"
	"time"

	"hulltally/costing"
)

// Script is a scan script taken apart.
type Script struct {
	Name    string
	Above   string // the text over the dashes
	Want    string
	Yard    map[string]string // yard files by name
	Scans   []Scan
	Reports []costing.Instant
	zone    *time.Location
}

// Scan is one line of reads.
type Scan struct {
	Label   string
	Station string
	At      []costing.Instant
	Words   []string
}

const dashes = "----"

// Parse takes a script apart.
func Parse(name, text string) (*Script, error) {
	above, want, ok := strings.Cut(text, "\n"+dashes+"\n")
	if !ok {
		return nil, fmt.Errorf("%s: has no line of dashes", name)
	}
	zone := "Europe/Lisbon"
	for line := range strings.Lines(above) {
		if words := strings.Fields(line); len(words) == 3 && words[0] == "policy" && words[1] == "time_zone" {
			zone = words[2]
		}
	}
	s := &Script{Name: name, Above: above, Want: want}
	var err error
	if s.zone, err = time.LoadLocation(zone); err != nil {
		return nil, err
	}
	y := newYard(s.zone)
	day, n := "", 0
	for line := range strings.Lines(above) {
		n++
		line, _, _ = strings.Cut(line, "#")
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		switch {
		case words[0] == "day":
			day, err = words[1], nil
		case words[0] == "report":
			err = s.report(words[1], words[2])
		case words[0][0] >= '0' && words[0][0] <= '9':
			err = s.scan(day, words)
		default:
			err = y.line(words)
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, n, err)
		}
	}
	s.Yard = y.files()
	return s, nil
}

func (s *Script) report(day, clock string) error {
	at, err := instant(day, clock, s.zone)
	s.Reports = append(s.Reports, at)
	return err
}

// apart is how far the reads of one line lie from each other.
const apart = costing.Instant(3000)

func (s *Script) scan(day string, words []string) error {
	at, err := instant(day, words[0], s.zone)
	if err != nil || len(words) < 3 {
		return fmt.Errorf("%v: give a time, a station and what it read", err)
	}
	scan := Scan{Label: day + " " + words[0] + " " + words[1], Station: words[1], Words: words[2:]}
	for i := range scan.Words {
		scan.At = append(scan.At, at+costing.Instant(i)*apart)
	}
	s.Scans = append(s.Scans, scan)
	return nil
}

// instant reads a local day and time of day, or one in UTC with a Z.
func instant(day, clock string, zone *time.Location) (costing.Instant, error) {
	if utc, ok := strings.CutSuffix(clock, "Z"); ok {
		clock, zone = utc, time.UTC
	}
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02 15:04:05.000"} {
		if t, err := time.ParseInLocation(layout, day+" "+clock, zone); err == nil {
			return costing.InstantOf(t), nil
		}
	}
	return 0, fmt.Errorf("%s %s is no time", day, clock)
}
