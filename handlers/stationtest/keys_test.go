package stationtest

import (
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// azerty is what a French keyboard makes of the keys a scanner presses.
var azerty = map[rune]string{
	'1': "&", '2': "é", '3': "\"", '4': "'", '5': "(", '6': "-", '7': "è", '8': "_", '9': "ç", '0': "à", ']': "$", '.': ":",
}

// payloads are the reads of a yard in the order the stations counted them.
func (y *yard) payloads() []string {
	y.t.Helper()
	return y.query("SELECT payload FROM reads WHERE station IN ('GATE', 'STORE') AND received_ms > ? ORDER BY station, n", fresh)
}

// fresh is after the reads that the tiny yard brings along were received.
const fresh = 1_780_000_000_000

func TestScanners(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "GATE", faults)
	for _, c := range []struct {
		name string
		scan func()
		want string
	}{
		{"5 ms and Enter", func() { p.scan(ilse, 5*time.Millisecond) }, ilse},
		{"60 ms and Enter", func() { p.scan(job1, 60*time.Millisecond) }, job1},
		{"no suffix", func() { p.press(tome, 30*time.Millisecond, nil) }, tome},
		{"Tab", func() { p.press(off, 5*time.Millisecond, nil); p.key("Tab", "Tab") }, off},
		{"two suffixes", func() { p.scan(ilse, 5*time.Millisecond); p.key("Enter", "Enter"); p.key("Tab", "Tab") }, ilse},
		{"AIM identifier", func() { p.scan("]C0"+job1, 5*time.Millisecond) }, job1},
		{"French keyboard", func() { p.press("]C0"+tome, 5*time.Millisecond, azerty); p.key("Enter", "Enter") }, tome},
		{"lower case", func() { p.press(off, 5*time.Millisecond, map[rune]string{'K': "k", 'T': "t"}); p.key("Enter", "Enter") }, off},
		{"on another field", func() {
			p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("sound").focus()`))
			p.scan(ilse, 5*time.Millisecond)
		}, ilse},
		{"after something typed", func() {
			p.press("12", 200*time.Millisecond, nil)
			time.Sleep(300 * time.Millisecond)
			p.scan(job1, 5*time.Millisecond)
		}, job1},
		{"typed by hand", func() { p.press("12.5", 150*time.Millisecond, nil); p.key("Enter", "Enter") }, "12.5"},
	} {
		before := len(y.payloads())
		c.scan()
		p.until(`document.getElementById("field").value === ""`)
		deadline := time.Now().Add(5 * time.Second)
		for len(y.payloads()) == before && time.Now().Before(deadline) {
			time.Sleep(10 * time.Millisecond)
		}
		time.Sleep(150 * time.Millisecond) // a second read would be one too many
		if got := y.payloads()[before:]; !slices.Equal(got, []string{c.want}) {
			t.Errorf("%s: the server has %q, want %q", c.name, got, c.want)
		}
	}
	if muted, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](`document.getElementById("sound").getAttribute("aria-pressed") !== "true"`)); err != nil || muted {
		t.Errorf("a scanner's Enter pressed a button (%v)", err)
	}
	p.noFaults()
}

// Where no physical key is told, the layout is undone and named on the screen.
func TestCharactersOnly(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "GATE", faults)
	for _, c := range ilse {
		p.key("", keyOf(c, azerty))
	}
	p.key("", "Enter")
	p.shows("waiting", "Scan job")
	if got := p.text("who"); got != "Ilse Varnholt" {
		t.Errorf("the screen greets %q", got)
	}
	p.until(`document.getElementById("notice-keyboard")?.textContent.includes("AZERTY")`)
	if got := y.query("SELECT flag FROM reads WHERE station = 'GATE' AND received_ms > ?", fresh); !slices.Equal(got, []string{"keyboard AZERTY"}) {
		t.Errorf("the read is flagged %q", got)
	}
	p.noFaults()
}

// What the floor sees, step by step, and how soon.
func TestSentence(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "GATE", faults)
	p.scan(ilse, 5*time.Millisecond)
	p.shows("waiting", "Scan job")
	p.until(`document.getElementById("tide").hidden === false && Number(document.getElementById("seconds").textContent) > 25`)
	p.scan(job1, 5*time.Millisecond)
	p.shows("done", "Started")
	if who, what := p.text("who"), p.text("line"); who != "Ilse Varnholt" || what != "J1" {
		t.Errorf("the screen says %q is on %q", who, what)
	}
	p.until(`document.getElementById("people").textContent.includes("Ilse Varnholt")`)
	p.scan("K0000000", 5*time.Millisecond)
	p.shows("refused", "Scan again")
	p.scan(off, 5*time.Millisecond)
	p.shows("done", "Off")
	p.until(`document.getElementById("people").children.length === 0`)
	// The aim is 100 ms on the yard's network; a busy machine is no reason to fail.
	took, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`Number(document.body.dataset.took)`))
	if err != nil || took <= 0 {
		t.Errorf("the page does not say how soon the word came: %d ms, %v", took, err)
	}
	t.Logf("the first word took %d ms (aim 100)", took)
	p.noFaults()
}

// A stores station takes quantities from its keypad.
func TestKeypad(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "STORE", faults)
	for _, c := range []struct{ payload, word string }{{tome, "Scan job"}, {job1, "Scan lot"}, {lot1, "How much?"}} {
		p.scan(c.payload, 5*time.Millisecond)
		p.shows("waiting", c.word)
	}
	for _, key := range []string{`[data-key="1"]`, `[data-key="2"]`, `[data-key="."]`, `[data-key="5"]`, `[data-unit="MTR"]`, `[data-do="enter"]`} {
		p.do(chromedp.Click(chromedp.CSS(key)))
	}
	p.shows("done", "Issued")
	if got := p.text("line"); got != "12.5 m" {
		t.Errorf("the screen says %q", got)
	}
	if got := y.payloads(); len(got) != 4 || got[3] != "12.5MTR" {
		t.Errorf("the server has %q", got)
	}
	p.noFaults()
}
