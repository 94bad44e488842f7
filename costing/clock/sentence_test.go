package clock_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// token reads the tests' shorthand for a payload: W1, C1, J1, L1, clean, off,
// p25, 12.5 and the command words.
func token(word string) clock.Token {
	if m, err := costing.ParseMeasure(word); err == nil {
		return clock.Token{Kind: clock.Measure, Measure: m}
	}
	if n, err := strconv.Atoi(strings.TrimPrefix(word, "p")); err == nil && word[0] == 'p' {
		return clock.Token{Kind: clock.Progress, Percent: n}
	}
	for _, k := range []clock.Kind{
		clock.Off, clock.Done, clock.Return, clock.Waste, clock.Scrap, clock.Undo, clock.Cancel,
	} {
		if word == string(k) {
			return clock.Token{Kind: k}
		}
	}
	kinds := map[byte]clock.Kind{'W': clock.Worker, 'C': clock.Crew, 'J': clock.Job, 'L': clock.Lot, 'c': clock.Indirect}
	return clock.Token{Kind: kinds[word[0]], Key: word}
}

// say plays words at a station three seconds apart; +n sets the seconds before
// the next word. It gives the codes of the answers and the entries made.
func say(t *testing.T, y *costing.Yard, station, words string) (codes, made string) {
	t.Helper()
	var c clock.Context
	var codeList, entryList []string
	at, step, n := monday.At(8*60, y.Zone), costing.Instant(3000), int64(0)
	start := at
	for _, word := range strings.Fields(words) {
		if seconds, ok := strings.CutPrefix(word, "+"); ok {
			f, err := costing.ParseDecimal(seconds)
			if err != nil {
				t.Fatal(err)
			}
			step = costing.Instant(f / 1000)
			continue
		}
		at, n = at+step, n+1
		step = 3000
		r := c.Hear(y, &clock.Read{ID: fmt.Sprintf("r%d", n), Station: station, N: n, At: at, Payload: word, Token: token(word)})
		codeList = append(codeList, r.Code)
		if r.Voids != "" {
			entryList = append(entryList, "void "+r.Voids)
		}
		if e := r.Entry; e != nil {
			s := strings.Join(strings.Fields(fmt.Sprint(e.Kind, " ", e.Worker, e.Crew, " ", e.Job, e.Indirect, " ", e.Lot)), " ")
			if e.Quantity != 0 {
				s += " " + e.Quantity.String()
			}
			if e.Percent != 0 {
				s += fmt.Sprintf(" %d%%", e.Percent)
			}
			entryList = append(entryList, s)
			if e.At != at || e.ID != fmt.Sprintf("r%d", n) || e.N != n || e.Station != station {
				t.Errorf("%q: entry %s bears %s after %s: not its completing read", words, e.ID, e.At, start)
			}
		}
	}
	return strings.Join(codeList, " "), strings.Join(entryList, ", ")
}

func TestSentences(t *testing.T) {
	for _, c := range []struct{ station, words, codes, made string }{
		{"clock", "W1 J1", "worker clocked_on", "on W1 J1"},
		{"clock", "W1 clean", "worker clocked_on_indirect", "on W1 clean"},
		{"clock", "W1 off", "worker clocked_off", "off W1"},
		{"clock", "C1 J1", "crew clocked_on", "on C1 J1"},
		{"clock", "C1 off", "crew clocked_off", "off C1"},
		// The context still holds worker and job.
		{"clock", "W1 J1 J2", "worker clocked_on clocked_on", "on W1 J1, on W1 J2"},
		{"clock", "W1 J1 clean off", "worker clocked_on clocked_on_indirect clocked_off", "on W1 J1, on W1 clean, off W1"},
		{"clock", "W1 J1 L1 2 L2 3", "worker clocked_on lot did_issue lot did_issue", "on W1 J1, issue W1 J1 L1 2, issue W1 J1 L2 3"},
		{"clock", "J1 L1 2 3", "job lot did_issue did_issue", "issue J1 L1 2, issue J1 L1 3"},
		// A new badge starts afresh.
		{"clock", "W1 J1 W2 L1", "worker clocked_on worker job_first", "on W1 J1"},
		{"clock", "W1 C1 J1", "worker crew clocked_on", "on C1 J1"},
		{"clock", "J1 W1", "job worker", ""},
		// At the stores a badge says who issues, and nobody clocks.
		{"stores", "W1 J1 L1 2", "worker job lot did_issue", "issue W1 J1 L1 2"},
		{"stores", "W1 J1 off clean", "worker job clock_elsewhere clock_elsewhere", ""},
		{"stores", "J1 done", "job clock_elsewhere", ""},
		// Return and waste need a job; a new job sets the mode back to issue.
		{"stores", "J1 return L1 1", "job return lot did_return", "return J1 L1 1"},
		{"stores", "J1 waste L1 1 J1 L1 1", "job waste lot did_waste job lot did_issue", "waste J1 L1 1, issue J1 L1 1"},
		{"stores", "return waste", "job_first job_first", ""},
		// Scrap forgets the job.
		{"stores", "J1 scrap L1 4 return", "job scrap lot did_scrap job_first", "scrap L1 4"},
		{"clock", "scrap", "scrap_at_stores", ""},
		// Refused, and the context stays as it was.
		{"stores", "L1 J1 4 L1 4", "job_first job lot_first lot did_issue", "issue J1 L1 4"},
		{"stores", "J1 L1 ? 4", "job lot unknown_code did_issue", "issue J1 L1 4"},
		{"clock", "done p25 J1 done W9", "job_first job_first job sign signed", "progress W9 J1 100%"},
		{"clock", "J1 off clean W1", "job badge_first badge_first worker", ""},
		{"stores", "J1 L3 4 L1 0 L1 1C62", "job lot unknown_code lot no_quantity lot no_conversion", ""},
		{"stores", "J1 L1 10MTR L2 1LTR", "job lot did_issue lot did_issue", "issue J1 L1 12.7, issue J1 L2 1.12"},
		// Signing off; allowed or not, the context is empty after it.
		{"clock", "J1 p25 W9 L1", "job sign signed job_first", "progress W9 J1 25%"},
		{"clock", "J1 p50 W1 L1", "job sign may_not_sign job_first", ""},
		{"clock", "J1 done p75 W9", "job sign sign signed", "progress W9 J1 75%"},
		{"clock", "J1 done J2 W9", "job sign job worker", ""},
		{"clock", "W9 J1 done W9", "worker clocked_on sign signed", "on W9 J1, progress W9 J1 100%"},
		// Cancel empties the context.
		{"clock", "W1 cancel J1", "worker cancelled job", ""},
		// Undo voids the last thing done, once, within 60 s.
		{"clock", "W1 J1 undo undo", "worker clocked_on undone nothing_to_undo", "on W1 J1, void r2"},
		{"clock", "W1 J1 J2 undo undo", "worker clocked_on clocked_on undone nothing_to_undo", "on W1 J1, on W1 J2, void r3"},
		{"clock", "W1 J1 +60 undo", "worker clocked_on undone", "on W1 J1, void r2"},
		{"clock", "W1 J1 +60.001 undo", "worker clocked_on nothing_to_undo", "on W1 J1"},
		{"clock", "W1 J1 W2 undo", "worker clocked_on worker undone", "on W1 J1, void r2"},
		{"clock", "undo", "nothing_to_undo", ""},
		// The scan gap: at 30 s it has passed. Bounce and refusals keep the context alive.
		{"clock", "W1 +29.999 J1", "worker clocked_on", "on W1 J1"},
		{"clock", "W1 +30 J1", "worker job", ""},
		{"clock", "W1 +20 ? +20 J1", "worker unknown_code clocked_on", "on W1 J1"},
		{"clock", "W1 +2 W1 +29 J1", "worker bounce clocked_on", "on W1 J1"},
		// Bounce is the payload just before, within 2 s.
		{"stores", "J1 L1 4 +2 4", "job lot did_issue bounce", "issue J1 L1 4"},
		{"stores", "J1 L1 4 +2 4 +2 4 +2 4", "job lot did_issue bounce bounce bounce", "issue J1 L1 4"},
		{"stores", "J1 L1 4 +2.001 4", "job lot did_issue did_issue", "issue J1 L1 4, issue J1 L1 4"},
		{"stores", "J1 L1 4 +1 5 +1 4", "job lot did_issue did_issue did_issue", "issue J1 L1 4, issue J1 L1 5, issue J1 L1 4"},
		{"nowhere", "W1", "unknown_station", ""},
	} {
		codes, made := say(t, newYard(t), c.station, c.words)
		if codes != c.codes || made != c.made {
			t.Errorf("%s: %q\n got %s; %s\nwant %s; %s", c.station, c.words, codes, made, c.codes, c.made)
		}
	}
}

func TestScanGapIsPolicy(t *testing.T) {
	y := newYard(t)
	y.Policy.ScanGap = always(10 * clock.BounceWithin)
	if codes, _ := say(t, y, "clock", "W1 +19 J1 +20 J2"); codes != "worker clocked_on job" {
		t.Errorf("with a gap of 20 s: %s", codes)
	}
}

// A station's context may be dropped once nothing of it can be felt.
func TestQuiet(t *testing.T) {
	y := newYard(t)
	var c clock.Context
	if !c.Quiet(0, costing.DefaultScanGap) {
		t.Error("a new context is not quiet")
	}
	at := monday.At(480, y.Zone)
	c.Hear(y, &clock.Read{ID: "1", Station: "clock", At: at, Payload: "W1", Token: token("W1")})
	for ms, want := range map[costing.Instant]bool{0: false, 60_000: false, 60_001: true} {
		if got := c.Quiet(at+ms, costing.DefaultScanGap); got != want {
			t.Errorf("quiet after %d ms: %t", ms, got)
		}
	}
}
