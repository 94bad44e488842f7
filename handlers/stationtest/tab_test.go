package stationtest

import (
	"context"
	"fmt"
	"os"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// chromium is started once; the tests have profiles of their own in it.
var chromium struct {
	sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chromium.stop != nil {
		chromium.stop()
	}
	os.Exit(code)
}

// browser gives a new profile. Without Chromium the test fails: skipping is how
// a page rots.
func browser(t *testing.T) context.Context {
	t.Helper()
	chromium.Do(func() {
		options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.WindowSize(1280, 800))
		if os.Geteuid() == 0 {
			options = append(options, chromedp.NoSandbox)
		}
		allocator, end := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, cancel := chromedp.NewContext(allocator)
		chromium.ctx, chromium.stop = ctx, func() { cancel(); end() }
		chromium.err = chromedp.Do(ctx)
	})
	if chromium.err != nil {
		t.Fatalf("Chromium does not start; install it (apt-get install chromium): %v", chromium.err)
	}
	ctx, cancel := chromedp.NewContext(chromium.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// tab is a page of the browser.
type tab struct {
	t      *testing.T
	ctx    context.Context
	cancel context.CancelFunc
}

func (y *yard) tab(t *testing.T, browser context.Context, scripts ...string) *tab {
	t.Helper()
	return y.tabAt(t, browser, "/station", scripts...)
}

// tabAt is a tab with a page of the yard.
func (y *yard) tabAt(t *testing.T, browser context.Context, path string, scripts ...string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	p := &tab{t, ctx, cancel}
	t.Cleanup(cancel)
	p.do(chromedp.EmulateViewport(1280, 800))
	for _, s := range scripts {
		if _, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: s}); err != nil {
			t.Fatal(err)
		}
	}
	p.do(chromedp.Navigate(y.url + path))
	return p
}

// station is a tab that was enrolled as a station.
func (y *yard) station(t *testing.T, browser context.Context, name string, scripts ...string) *tab {
	t.Helper()
	p := y.tab(t, browser, scripts...)
	p.until(`document.body.dataset.view === "enrol"`)
	p.do(chromedp.SendKeys(chromedp.ID("code"), y.code(name)+"\r"))
	p.ready()
	return p
}

func (p *tab) ready() {
	p.t.Helper()
	p.until(`document.body.dataset.ready === "yes"`)
	p.until(`navigator.serviceWorker.controller !== null`)
}

func (p *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

// until waits for an expression to be true.
func (p *tab) until(expression string) {
	p.t.Helper()
	deadline := time.Now().Add(20 * time.Second)
	for {
		yes, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("Boolean("+expression+")"))
		if err == nil && yes {
			return
		}
		if time.Now().After(deadline) {
			text, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.body.dataset.view + " | " + document.body.innerText`))
			p.t.Fatalf("%s did not come true (%v); the page says: %s", expression, err, text)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func (p *tab) text(id string) string {
	p.t.Helper()
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](fmt.Sprintf("document.getElementById(%q).textContent", id)))
	if err != nil {
		p.t.Fatal(err)
	}
	return text
}

// shows waits until the call has a state and its word.
func (p *tab) shows(state, word string) {
	p.t.Helper()
	p.until(fmt.Sprintf("document.getElementById('call').dataset.state === %q && document.getElementById('word').textContent === %q", state, word))
}

// press sends the keys that a scanner presses, with what a layout makes of them.
func (p *tab) press(text string, gap time.Duration, layout map[rune]string) {
	p.t.Helper()
	for _, c := range text {
		p.key(codeOf(c), keyOf(c, layout))
		time.Sleep(gap)
	}
}

// scan sends a payload as a scanner does, with Enter after it.
func (p *tab) scan(payload string, gap time.Duration) {
	p.t.Helper()
	p.press(payload, gap, nil)
	p.key("Enter", "Enter")
}

// key presses a key and lets it go.
func (p *tab) key(code, key string) {
	p.t.Helper()
	p.send(input.DispatchKeyEventTypeRawKeyDown, code, key)
	p.send(input.DispatchKeyEventTypeKeyUp, code, key)
}

// down presses a key, which is all the page listens to.
func (p *tab) down(code, key string) {
	p.t.Helper()
	p.send(input.DispatchKeyEventTypeRawKeyDown, code, key)
}

func (p *tab) send(what input.DispatchKeyEventType, code, key string) {
	p.t.Helper()
	event := input.DispatchKeyEventParams{Type: what, Code: code, Key: key}
	if _, err := chromedp.Call(p.ctx, input.DispatchKeyEvent, event); err != nil {
		p.t.Fatal(err)
	}
}

func codeOf(c rune) string {
	switch {
	case c >= '0' && c <= '9':
		return "Digit" + string(c)
	case c >= 'A' && c <= 'Z':
		return "Key" + string(c)
	}
	return map[rune]string{']': "BracketRight", '.': "Period"}[c]
}

func keyOf(c rune, layout map[rune]string) string {
	if key := layout[c]; key != "" {
		return key
	}
	return string(c)
}

// faults notes what goes wrong in a page: errors, and what the policy forbids.
const faults = `window.wrong = [];
for (const n of ["error", "unhandledrejection", "securitypolicyviolation"])
  addEventListener(n, (e) => wrong.push(n + ": " + (e.message ?? e.reason ?? e.violatedDirective)));`

func (p *tab) noFaults() {
	p.t.Helper()
	wrong, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string]("wrong"))
	if err != nil || len(wrong) > 0 {
		p.t.Errorf("the page met %q (%v)", wrong, err)
	}
}
