package ownertest

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"hulltally/models"
)

// tab is a browser tab that is driven by keys alone.
type tab struct {
	t   *testing.T
	ctx context.Context
}

func newTab(t *testing.T) *tab {
	t.Helper()
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.WindowSize(1280, 900))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	ctx, cancel := chromedp.NewExecAllocator(context.WithoutCancel(t.Context()), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("Chromium does not start; install it (apt-get install chromium): %v", err)
	}
	ctx, cancel = context.WithTimeout(ctx, 10*time.Minute)
	t.Cleanup(cancel)
	return &tab{t, ctx}
}

func (p *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

func eval[T any](p *tab, script string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		p.t.Fatalf("%s: %v", script, err)
	}
	return v
}

// tabTo presses Tab until the link that begins with a text has the focus, and
// checks that it can be seen to have it.
func (p *tab) tabTo(what, begins, leadsTo string) {
	p.t.Helper()
	const is = `(e => (e.getAttribute("href") || "") + "\t" + e.textContent.trim())(document.activeElement)`
	for range 400 {
		p.do(chromedp.KeyEvent(kb.Tab))
		href, text, _ := strings.Cut(eval[string](p, is), "\t")
		if !strings.HasPrefix(text, begins) || !strings.HasPrefix(href, leadsTo) {
			continue
		}
		if eval[string](p, `getComputedStyle(document.activeElement).outlineStyle`) == "none" {
			p.t.Errorf("%s has the focus, and it cannot be seen", what)
		}
		return
	}
	p.t.Fatalf("%s is not reached by the keyboard", what)
}

// enter presses Enter and waits for the next page.
func (p *tab) enter() {
	p.t.Helper()
	if _, err := chromedp.Run(p.ctx, chromedp.WaitEvent(page.LoadEventFired, nil, chromedp.KeyEvent(kb.Enter))); err != nil {
		p.t.Fatal(err)
	}
}

func (p *tab) path() string { return eval[string](p, `location.pathname + location.search`) }

// An owner signs in, sees which hull loses money and follows it down to the raw
// reads, with nothing but a keyboard, in four steps.
func TestOwnerByKeyboard(t *testing.T) {
	y := theYard(t)
	p := newTab(t)
	p.do(chromedp.Navigate(y.url + "/"))
	p.do(chromedp.KeyEvent(string(models.Owner) + kb.Tab + password))
	p.enter()
	if p.path() != "/board" {
		t.Fatalf("the owner's home is %s", p.path())
	}
	first := eval[string](p, `document.querySelector(".strip").innerText`)
	if !strings.Contains(first, "H203") || !strings.Contains(first, "Loses money") || !strings.Contains(first, "Rework on Fairing and paint outside") {
		t.Errorf("the first hull on the board says %q", first)
	}
	p.tabTo("the losing hull", "H203", "/hull/")
	p.enter()
	p.tabTo("its worst stage", "Fairing and paint outside", "/hull/H203/stage/")
	p.enter()
	p.tabTo("the rework's labour", "14", "/postings?element=labour&hull=H203&purpose=rework")
	shown := eval[string](p, `document.activeElement.querySelector("data").value`)
	p.enter()
	if got := eval[string](p, `document.querySelector(".total data").value`); got != shown {
		t.Errorf("the stage shows %s, its postings come to %s", shown, got)
	}
	p.tabTo("a booking", "booking", "/booking/")
	p.enter()
	if got := eval[string](p, `document.querySelector("#t-reads tr.this").innerText`); !strings.Contains(got, "completed this entry") || !strings.Contains(got, "H203-FAIRX-R") {
		t.Errorf("the raw read says %q", got)
	}
}

// No page scrolls sideways at any width, every picture is named, and every
// number of a chart stands in a table beside it.
func TestWidths(t *testing.T) {
	y := theYard(t)
	p := newTab(t)
	p.do(chromedp.Navigate(y.url + "/"))
	p.do(chromedp.KeyEvent(string(models.Owner) + kb.Tab + password))
	p.enter()
	for _, path := range []string{
		"/board", "/hull/H203", "/hull/H205", "/hull/H203/stage/FAIRX", "/postings?hull=H203&stage=FAIRX&element=material", "/lot/L00053",
	} {
		for _, width := range []int64{320, 768, 1280, 1920} {
			p.do(chromedp.EmulateViewport(width, 900), chromedp.Navigate(y.url+path))
			if over := eval[int64](p, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s scrolls sideways by %d pixels at %d", path, over, width)
			}
		}
		for what, script := range map[string]string{
			"a picture without a name": `[...document.querySelectorAll("svg[role=img]")].filter(s => !s.getAttribute("aria-labelledby").split(" ").every(id => document.getElementById(id) && document.getElementById(id).textContent)).length`,
			"two things of one id":     `(ids => ids.length - new Set(ids).size)([...document.querySelectorAll("[id]")].map(e => e.id))`,
			"a table without a name":   `[...document.querySelectorAll("table")].filter(t => !t.caption || !t.caption.textContent).length`,
			"an empty link":            `[...document.querySelectorAll("a")].filter(a => !a.textContent.trim()).length`,
		} {
			if n := eval[int64](p, script); n != 0 {
				t.Errorf("%s has %s, %d times", path, what, n)
			}
		}
	}
}
