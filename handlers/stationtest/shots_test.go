package stationtest

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

var _ = models.Open

type size struct{ w, h int64 }

func (p *tab) shot(name string, sizes ...size) {
	if len(sizes) == 0 {
		sizes = []size{{320, 640}, {768, 1024}, {1280, 800}, {1920, 1080}}
	}
	for _, s := range sizes {
		p.do(chromedp.EmulateViewport(s.w, s.h))
		time.Sleep(300 * time.Millisecond)
		b, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
		if err != nil {
			p.t.Fatal(err)
		}
		os.WriteFile(fmt.Sprintf("/tmp/shots/%s-%d.png", name, s.w), b, 0o644)
	}
	p.do(chromedp.EmulateViewport(1280, 800))
}

func TestShots(t *testing.T) {
	os.MkdirAll("/tmp/shots", 0o755)
	lang := os.Getenv("SHOT_LANG")
	store, err := models.Open(t.Context(), "sqlite:/tmp/y9.db")
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	y := &yard{t: t, store: store}
	// everybody starts anew "today"
	server, err := handlers.New(handlers.Options{Store: store, ReadsPerSecond: -1})
	if err != nil {
		t.Fatal(err)
	}
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if y.away.Load() {
			panic(http.ErrAbortHandler)
		}
		server.Handler().ServeHTTP(w, r)
	}))
	defer web.Close()
	defer server.Close()
	_, port, _ := net.SplitHostPort(web.Listener.Addr().String())
	y.url = "http://localhost:" + port
	codes := map[string][]string{}
	store.Read(t.Context(), func(tx *models.Tx) error {
		cs, err := tx.Codes(context.Background())
		for _, c := range cs {
			codes[c.Kind] = append(codes[c.Kind], c.Payload)
		}
		return err
	})
	now := time.Now()
	var reads []models.ReadRow
	for i := range 14 {
		at := now.Add(-time.Duration(200-13*i) * time.Minute)
		what := codes["job"][100+3*i]
		if i == 4 {
			what = codes["indirect"][0]
		}
		for k, p := range []string{codes["worker"][i], what} {
			reads = append(reads, models.ReadRow{ID: fmt.Sprintf("6f1c2a34-0b5d-4e6f-8a90-%012d", now.Unix()%100000*1000+int64(2*i+k)), Station: "CK1", N: int64(900000 + 2*i + k), At: costing.InstantOf(at.Add(time.Duration(k) * time.Second)), Payload: p})
		}
	}
	if _, err := store.Scan(t.Context(), reads, costing.InstantOf(now), nil); err != nil {
		t.Fatal(err)
	}
	b := browser(t)
	p := y.tab(t, b)
	p.until(`document.body.dataset.view === "enrol"`)
	p.shot("enrol")
	p.do(chromedp.SendKeys(chromedp.ID("code"), y.code("CK1")+"\r"))
	p.ready()
	if lang != "" {
		p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(()=>{const l=document.getElementById("language");l.value=%q;l.dispatchEvent(new Event("change"))})()`, lang)))
		time.Sleep(200 * time.Millisecond)
	}
	time.Sleep(500 * time.Millisecond)
	p.shot("idle")
	p.scan(codes["worker"][20], 0)
	p.until(`document.getElementById('call').dataset.state === "waiting"`)
	p.shot("waiting")
	p.scan(codes["job"][130], 0)
	p.until(`document.getElementById('call').dataset.state === "done"`)
	p.shot("done")
	p.scan(codes["cancel"][0], 0)
	time.Sleep(2100 * time.Millisecond)
	p.scan(codes["job"][131], 0)
	time.Sleep(300 * time.Millisecond)
	p.scan("K000001T", 0)
	p.until(`document.getElementById('call').dataset.state === "refused"`)
	p.shot("refused")
	p.scan("K000007H", 0)
	time.Sleep(300 * time.Millisecond)
	p.scan("K000007H", 0)
	p.until(`document.getElementById('call').dataset.state === "ignored"`)
	p.shot("ignored", size{1280, 800})
	y.away.Store(true)
	web.CloseClientConnections()
	p.scan(codes["worker"][20], 0)
	time.Sleep(1500 * time.Millisecond)
	p.scan(codes["job"][130], 0)
	p.until(`document.getElementById('call').dataset.state === "kept"`)
	p.shot("kept")
	time.Sleep(9 * time.Second)
	p.shot("offline-idle")
	y.away.Store(false)
	p.do(chromedp.Evaluate[chromedp.Void](`indexedDB.deleteDatabase("hulltally-station")`))
	p.cancel()
	b2 := browser(t)
	q := y.station(t, b2, "ST1")
	if lang != "" {
		q.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(()=>{const l=document.getElementById("language");l.value=%q;l.dispatchEvent(new Event("change"))})()`, lang)))
		time.Sleep(200 * time.Millisecond)
	}
	q.shot("stores-idle")
	for _, c := range []string{codes["worker"][3], codes["job"][130], codes["lot"][140]} {
		q.scan(c, 0)
		time.Sleep(400 * time.Millisecond)
	}
	q.until(`document.getElementById('call').dataset.state === "waiting"`)
	for _, k := range "12.5" {
		q.do(chromedp.Click(chromedp.CSS(fmt.Sprintf(`[data-key="%s"]`, string(k)))))
	}
	q.shot("stores-keypad")
	q.do(chromedp.Click(chromedp.CSS(`[data-do="enter"]`)))
	time.Sleep(500 * time.Millisecond)
	q.shot("stores-done")
	_ = strings.ToUpper
}
