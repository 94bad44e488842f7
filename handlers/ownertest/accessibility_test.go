package ownertest

import (
	"bytes"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"hulltally/handlers"
	"hulltally/handlers/axetest"
	"hulltally/models"
)

// Every page of the table of routes has no serious finding. Addresses with a
// part that varies are taken from the links of the pages before, so that a page
// that is new is opened without a word here; one that no page leads to has to
// be named in unlinked.
func TestAccessibility(t *testing.T) {
	script := axetest.Script(t)
	y := theYard(t)
	p := newTab(t)
	o := y.as(t, models.Owner)
	open := &opener{p: p, script: script, y: y, done: map[string]bool{}}
	for _, r := range handlers.Pages() {
		if slices.Contains(r.Who, models.Role("")) && !strings.Contains(r.Path, ":") {
			open.page(r.Path, r.Path, (&visitor{t, y, http.DefaultClient}).html)
		}
	}
	p.do(chromedp.Navigate(y.url + "/sign-in"))
	p.do(chromedp.KeyEvent(string(models.Owner) + kb.Tab + password))
	p.enter()
	routes := handlers.Pages()
	for _, r := range routes {
		if !strings.Contains(r.Path, ":") {
			open.page(r.Path, r.Path, o.html)
		}
	}
	for again := true; again; { // until no page leads to one that is new
		again = false
		for _, r := range routes {
			if open.done[r.Path] {
				continue
			}
			if i := slices.IndexFunc(open.links, func(link string) bool { return fits(r.Path, link) }); i >= 0 {
				open.page(r.Path, open.links[i], o.html)
				again = true
			}
		}
	}
	for _, r := range routes {
		if !open.done[r.Path] {
			if unlinked[r.Path] == "" {
				t.Errorf("no page leads to %s: say in unlinked what an address of it is", r.Path)
				continue
			}
			open.page(r.Path, unlinked[r.Path], o.html)
		}
	}
}

// unlinked are addresses of pages that no other page leads to.
var unlinked = map[string]string{
	"/worker/:worker/week/:week":   "/worker/0101/week/2026-W30",
	"/estimate/:hull/compare":      "/estimate/H203/compare",
	"/desk/person/:worker/correct": "/desk/person/0101/correct",
	"/record/:worker":              "/record/0101",
}

// opener opens pages and gathers where they lead.
type opener struct {
	p      *tab
	script string
	y      *yard
	done   map[string]bool // by path of the route
	links  []string
}

func (o *opener) page(route, path string, html func(path string) bool) {
	o.done[route] = true
	if !html(path) {
		return
	}
	o.p.do(chromedp.Navigate(o.y.url + path))
	axetest.Check(o.p.t, o.p.ctx, o.script, path)
	for _, link := range eval[[]string](o.p, `[...document.querySelectorAll("a[href]")].map((a) => a.getAttribute("href"))`) {
		if strings.HasPrefix(link, "/") && len(o.links) < 20_000 {
			o.links = append(o.links, link)
		}
	}
}

// html reports whether an address answers with a page and not with a file or
// another address.
func (v *visitor) html(path string) bool {
	v.t.Helper()
	answer, err := v.http.Get(v.y.url + path)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	// A part that a page takes in is looked at within that page.
	return answer.StatusCode < 500 && strings.HasPrefix(answer.Header.Get("Content-Type"), "text/html") &&
		bytes.HasPrefix(bytes.ToLower(bytes.TrimSpace(text)), []byte("<!doctype html"))
}

// fits reports whether a link is an address of a route.
func fits(route, link string) bool {
	path, _, _ := strings.Cut(link, "?")
	path, _, _ = strings.Cut(path, "#")
	want, got := strings.Split(route, "/"), strings.Split(path, "/")
	if len(want) != len(got) {
		return false
	}
	for i := range want {
		if !strings.HasPrefix(want[i], ":") && want[i] != got[i] {
			return false
		}
	}
	return true
}
