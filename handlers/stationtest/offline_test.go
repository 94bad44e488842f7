package stationtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"hulltally/models"
)

// read is one scan of a simulated shift.
type read struct {
	At      int64  `json:"at"` // Unix milliseconds
	Payload string `json:"payload"`
}

// shift is a day of 300 scans of two workers, with what goes wrong on a floor.
func (y *yard) shift() []read {
	jobs := y.query("SELECT payload FROM codes WHERE kind = 'job' OR kind = 'indirect' ORDER BY kind, key")
	at := time.Date(2026, time.November, 2, 7, 0, 0, 137e6, time.UTC).UnixMilli()
	var list []read
	scan := func(after int64, payload string) {
		at += after
		list = append(list, read{at, payload})
	}
	for i := 0; len(list) < 300; i++ {
		scan(61_003+int64(i%7)*13_777, []string{ilse, tome}[i%2])
		switch {
		case i%23 == 22:
			scan(2_400, off)
		case i%11 == 10:
			scan(900, "K0000000") // misread
			scan(1_300, jobs[i%len(jobs)])
		default:
			scan(1_900+int64(i%5)*700, jobs[i%len(jobs)])
		}
		if i%9 == 8 {
			scan(400, list[len(list)-1].Payload) // the scanner bounces
		}
	}
	return list[:300]
}

// scanner plays a shift: keys as events, on a clock that the shift sets.
const scanner = `
let told = null;
const own = Date.now.bind(Date);
Date.now = () => told ?? own();
window.play = async (reads) => {
  const code = (c) => (c >= "0" && c <= "9" ? "Digit" : "Key") + c;
  const press = (key, code) => document.dispatchEvent(new KeyboardEvent("keydown", { key, code, bubbles: true, cancelable: true }));
  for (const r of reads) {
    told = r.at;
    for (const c of r.payload) press(c, code(c));
    press("Enter", "Enter");
    await new Promise((done) => setTimeout(done, 2));
  }
  await new Promise((done) => setTimeout(done, 300));
  return true;
};`

func (p *tab) play(reads []read) {
	p.t.Helper()
	text, err := json.Marshal(reads)
	if err != nil {
		p.t.Fatal(err)
	}
	if _, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](fmt.Sprintf("play(%s)", text), chromedp.EvalAwaitPromise)); err != nil {
		p.t.Fatal(err)
	}
}

// A shift without the network, with the tab killed half-way and started again
// from what the browser kept, costs what the same shift on line does.
func TestShiftOffline(t *testing.T) {
	y, b := newYard(t), browser(t)
	p := y.station(t, b, "GATE", faults, scanner)
	reads := y.shift()
	y.away.Store(true)
	p.play(reads[:150])
	p.until(`document.getElementById("kept").textContent.includes("kept here: 150")`)
	p.cancel() // without a goodbye to the page

	again := y.tab(t, b, faults, scanner)
	again.ready()
	again.until(`document.getElementById("kept").textContent.includes("kept here: 150")`)
	again.play(reads[150:])
	again.until(`document.getElementById("kept").textContent.includes("kept here: 300")`)
	if got := len(y.payloads()); got != 0 {
		t.Fatalf("the server has %d reads although it was away", got)
	}
	y.away.Store(false)
	again.do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("online"))`))
	again.until(`document.getElementById("kept").hidden`)
	again.noFaults()

	want := make([]string, len(reads))
	for i, r := range reads {
		want[i] = fmt.Sprintf("%d %s", r.At, r.Payload)
	}
	got := y.query("SELECT CAST(at_ms AS TEXT) || ' ' || payload FROM reads WHERE station = 'GATE' AND received_ms > ? ORDER BY n", fresh)
	if !slices.Equal(got, want) {
		t.Fatalf("%d reads came, in this order: %.400q; want %.400q", len(got), got, want)
	}
	online := newYard(t)
	online.send(reads)
	const pieces = "SELECT worker || ' ' || date || ' ' || start_s || ' ' || seconds || ' ' || band || ' ' || job || indirect FROM pieces " +
		"WHERE date >= '2026-11-01' ORDER BY worker, start_s"
	if off, on := y.query(pieces), online.query(pieces); len(on) < 50 || !slices.Equal(off, on) {
		t.Errorf("the hours differ: %d pieces off line, %d on line:\n%s\n\n%s", len(off), len(on), strings.Join(off, "\n"), strings.Join(on, "\n"))
	}
}

// send sends reads one by one, as they happen.
func (y *yard) send(reads []read) {
	y.t.Helper()
	key, _, err := y.store.NewStationKey(y.t.Context(), "GATE", models.Deed{Who: "test", At: instantNow()})
	if err != nil {
		y.t.Fatal(err)
	}
	for i, r := range reads {
		body := fmt.Sprintf(`{"id":"6f1c2a34-0b5d-4e6f-8a90-%012d","n":%d,"at":%q,"payload":%q}`,
			i, i+1, time.UnixMilli(r.At).UTC().Format(time.RFC3339Nano), r.Payload)
		if status := y.post(key, body, ""); status != http.StatusOK {
			y.t.Fatalf("read %d gave %d", i, status)
		}
	}
}

func (y *yard) post(key, body, sent string) int {
	y.t.Helper()
	ask, err := http.NewRequestWithContext(y.t.Context(), http.MethodPost, y.url+"/api/reads", bytes.NewBufferString(body))
	if err != nil {
		y.t.Fatal(err)
	}
	ask.Header.Set("Authorization", "Bearer "+key)
	if sent != "" {
		ask.Header.Set("Hulltally-Sent", sent)
	}
	answer, err := http.DefaultClient.Do(ask)
	if err != nil {
		y.t.Fatal(err)
	}
	defer answer.Body.Close()
	if answer.StatusCode == http.StatusOK && answer.Header.Get("Hulltally-Time") == "" {
		y.t.Error("the answer doesn't bear the server's time")
	}
	return answer.StatusCode
}

// 200 sentences in a row, as fast as scanners type.
func TestManySentences(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "GATE", faults)
	var want []string
	tick := time.Now()
	for i := range 200 {
		for _, payload := range []string{[]string{ilse, tome}[i%2], []string{job1, off}[i/2%2]} {
			want = append(want, payload)
			for _, c := range payload + "\r" {
				tick = tick.Add(5 * time.Millisecond)
				time.Sleep(time.Until(tick))
				if c == '\r' {
					p.down("Enter", "Enter")
				} else {
					p.down(codeOf(c), string(c))
				}
			}
		}
	}
	p.until(`document.body.dataset.net === "connected" && document.getElementById("kept").hidden`)
	deadline := time.Now().Add(10 * time.Second)
	for len(y.payloads()) < len(want) && time.Now().Before(deadline) {
		time.Sleep(20 * time.Millisecond)
	}
	if got := y.payloads(); !slices.Equal(got, want) {
		t.Errorf("%d reads came of %d", len(got), len(want))
	}
	p.noFaults()
}

// Of two tabs one sends; when it goes the other does.
func TestTwoTabs(t *testing.T) {
	y, b := newYard(t), browser(t)
	first := y.station(t, b, "GATE", faults)
	second := y.tab(t, b, faults)
	second.ready()
	first.until(`document.getElementById("notice-tabs")?.textContent.includes("This tab sends")`)
	second.until(`document.getElementById("notice-tabs")?.textContent.includes("The other tab sends")`)
	if _, err := chromedp.Call(second.ctx, page.BringToFront, cdp.Empty{}); err != nil {
		t.Fatal(err)
	}
	second.scan(ilse, 5*time.Millisecond)
	second.shows("waiting", "Scan job")
	first.cancel()
	second.until(`document.getElementById("notice-tabs") === null`)
	second.scan(job1, 5*time.Millisecond)
	second.shows("done", "Started")
	if got := y.payloads(); !slices.Equal(got, []string{ilse, job1}) {
		t.Errorf("the server has %q", got)
	}
	second.noFaults()
}

// A station whose clock is wrong is told so, and its reads are flagged and kept.
func TestWrongClock(t *testing.T) {
	y := newYard(t)
	p := y.station(t, browser(t), "GATE", faults, `const own = Date.now.bind(Date); Date.now = () => own() - 300000;`)
	p.scan(ilse, 5*time.Millisecond)
	p.shows("waiting", "Scan job")
	p.until(`document.getElementById("notice-clock")?.textContent.includes("300 s")`)
	if got := y.query("SELECT flag FROM reads WHERE station = 'GATE' AND received_ms > ?", fresh); !slices.Equal(got, []string{"clock 5 min behind"}) {
		t.Errorf("the read is flagged %q", got)
	}
	key, _, err := y.store.NewStationKey(t.Context(), "GATE", models.Deed{Who: "test", At: instantNow()})
	if err != nil {
		t.Fatal(err)
	}
	if status := y.post(key, "[]", "yesterday"); status != http.StatusUnprocessableEntity {
		t.Errorf("a header that is no instant gave %d", status)
	}
}
