package handlers

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"hulltally/models"
)

// mayUse is written apart from the table of routes: what is changed there has
// to be changed here by somebody who means it. N is nobody, S a station, L team
// leader, T stores, E estimator, B bookkeeper, O owner.
const mayUse = `
	GET  /                       NLTEBO
	GET  /board                  EBO
	GET  /hull/:hull             EBO
	GET  /hull/:hull/stage/:stage EBO
	POST /hull/:hull/stage/:stage/state EO
	GET  /stage/:stage           EBO
	GET  /postings               EBO
	GET  /material               LTEBO
	GET  /hull/:hull/material    LTEBO
	GET  /hull/:hull/mass        LTEBO
	GET  /hull/:hull/batches     LTBO
	GET  /trace                  LTBO
	GET  /order                  LTEBO
	GET  /booking/:entry         EBO
	GET  /lot/:lot               EBO
	GET  /purchase               EBO
	GET  /worker/:worker/week/:week BO
	GET  /hours                  BO
	GET  /estimates              EBO
	GET  /estimates/new          EO
	POST /estimates/new          EO
	GET  /estimates/upload       EO
	POST /estimates/upload       EO
	GET  /estimate/:hull         EBO
	GET  /estimate/:hull/compare EBO
	GET  /estimate/:hull/what-if EBO
	POST /estimate/:hull/what-if EO
	GET  /estimate/:hull/edit    EO
	POST /estimate/:hull/edit    EO
	POST /estimate/:hull/sign    EO
	POST /estimate/:hull/freeze  EO
	GET  /change-orders          EBO
	POST /change-orders          EO
	GET  /change-orders/:change  EBO
	POST /change-orders/:change  EO
	POST /change-orders/:change/lines EO
	GET  /tooling                EBO
	POST /tooling                EO
	POST /tooling/use            EO
	GET  /stages                 EBO
	POST /stages                 EO
	POST /stages/ready           EO
	GET  /reports                LTEBO
	GET  /reports/:name          LTEBO
	GET  /month-end              BO
	GET  /month-end/table/:table BO
	GET  /month-end/pack.pdf     BO
	GET  /month-end/pack.xlsx    BO
	POST /month-end/close        BO
	POST /month-end/sign         BO
	POST /month-end/reopen       BO
	GET  /desk                   LO
	GET  /desk/floor             LO
	GET  /desk/wall              LO
	POST /desk/settle            LO
	POST /desk/rework            LO
	GET  /desk/person/:worker    LO
	GET  /desk/person/:worker/correct LO
	POST /desk/person/:worker/correct LO
	GET  /desk/weeks             LO
	POST /desk/weeks/approve     LO
	GET  /desk/jobs              LO
	GET  /desk/job/:job          LO
	POST /desk/job/:job/progress LO
	POST /desk/job/:job/check    LO
	POST /desk/job/:job/hold     LO
	GET  /stations               LO
	POST /stations/code          LO
	POST /stations/revoke        LO
	GET  /people                 O
	POST /people                 O
	POST /people/change          O
	GET  /record/:worker         O
	POST /record/remove          O
	GET  /logbook                O
	GET  /logbook/changes        O
	GET  /print                  LTO
	GET  /print/page.svg         LTO
	GET  /print/sheet.pdf        LTO
	POST /print/sheet.pdf        LTO
	GET  /print/lost             LTO
	POST /print/lost             LTO
	GET  /sign-in                NLTEBO
	POST /sign-in                NLTEBO
	GET  /sign-in/code           NLTEBO
	POST /sign-in/code           NLTEBO
	POST /sign-out               NLTEBO
	GET  /choose-password        NLTEBO
	POST /choose-password        NLTEBO
	GET  /account                LTEBO
	POST /account/password       LTEBO
	POST /account/second-factor  BO
	GET  /static/*file           NSLTEBO
	GET  /station                NSLTEBO
	GET  /station-worker.js      NSLTEBO
	GET  /lang/:name             NSLTEBO
	GET  /stores                 NSLTEBO
	GET  /api/desk/shelf         SLTO
	GET  /api/desk/job/:payload  SLTO
	GET  /api/desk/lot/:payload  SLTO
	GET  /api/desk/find          SLTO
	GET  /api/desk/today         SLTO
	POST /api/desk/reasons       S
	POST /api/desk/places        S
	POST /api/desk/counts        S
	POST /api/desk/goods         S
	POST /api/desk/supplier      S
	POST /api/desk/label         S
	POST /api/reads              S
	POST /api/enrol              NSLTEBO
	GET  /api/station            S
	GET  /api/station/floor      S
	GET  /api/reports/:name      LTEBO
	GET  /api/openapi.json       NSLTEBO
	GET  /healthz                NSLTEBO
`

var letters = map[models.Role]string{
	nobody: "N", models.Station: "S", models.TeamLeader: "L", models.Stores: "T",
	models.Estimator: "E", models.Bookkeeper: "B", models.Owner: "O",
}

func expected() map[string]string {
	want := map[string]string{}
	for line := range strings.Lines(mayUse) {
		if f := strings.Fields(line); len(f) == 3 {
			want[f[0]+" "+f[1]] = f[2]
		}
	}
	return want
}

// Every route that gin knows is walked as everybody. One that the list above
// doesn't name fails.
func TestRoleWalk(t *testing.T) {
	y := newYard(t)
	callers := map[models.Role]*browser{nobody: y.browser(), models.Station: y.station("STORE")}
	for _, role := range models.PeopleRoles {
		callers[role] = y.person("walker "+string(role), role)
	}
	want := expected()
	seen := 0
	for _, info := range y.server.engine().Routes() {
		name := info.Method + " " + info.Path
		may, ok := want[name]
		if !ok {
			t.Errorf("%s is in no list of who may use it", name)
			continue
		}
		seen++
		y.wait(time.Second) // so that the walk is no flood
		for role, b := range callers {
			cookies := fmt.Sprint(b.cookies)
			saved := b.copy() // signing out and the like must not end the walk
			path := strings.NewReplacer(":name", "mass", "*file", "base.css").Replace(info.Path)
			var got int
			if info.Method == http.MethodGet {
				got = saved.get(path).Code
			} else {
				if strings.HasPrefix(info.Path, "/sign-out") && role != nobody {
					continue // it would end the session; it is tested with the sessions
				}
				got = saved.post(path).Code
			}
			allowed := strings.Contains(may, letters[role])
			refused := got == http.StatusUnauthorized || got == http.StatusForbidden || role == nobody && got == http.StatusSeeOther && !allowed
			if info.Path == "/choose-password" {
				refused = !allowed // an unknown link is refused with 403 to all
			}
			if refused == allowed {
				t.Errorf("%s as %q gave %d, and it may: %t", name, role, got, allowed)
			}
			if got >= 500 {
				t.Errorf("%s as %q gave %d", name, role, got)
			}
			if fmt.Sprint(b.cookies) != cookies {
				t.Fatal("the walk changed its own cookies")
			}
		}
	}
	if seen != len(want) {
		t.Errorf("%d routes of %d are there", seen, len(want))
	}
}

func (b *browser) copy() *browser {
	c := *b
	c.cookies = map[string]string{}
	for k, v := range b.cookies {
		c.cookies[k] = v
	}
	return &c
}

// A route without a line on who may use it is closed to all.
func TestDefaultDeny(t *testing.T) {
	y := newYard(t)
	y.server.routes = append(y.server.routes, Route{
		Method: http.MethodGet, Path: "/forgotten", Rate: ratePage,
		Do: func(_ *Server, v *Visit) error { v.String(http.StatusOK, "in"); return nil },
	})
	y.server.handler = y.server.outer(y.server.guard(y.server.withSession(y.server.engine())))
	for _, b := range []*browser{y.browser(), y.station("GATE"), y.person("Owner", models.Owner)} {
		if w := b.get("/forgotten"); w.Code == http.StatusOK {
			t.Errorf("got in: %s", w.Body)
		}
	}
}

// Every route that takes a body says how large it may be, and answers 413 past it.
func TestBodyLimits(t *testing.T) {
	y := newYard(t)
	owner, station := y.person("Owner", models.Owner), y.station("GATE")
	for i := range y.server.routes {
		r := &y.server.routes[i]
		if r.Method != http.MethodPost {
			if r.Body != 0 {
				t.Errorf("%s %s takes a body", r.Method, r.Path)
			}
			continue
		}
		if r.Body == 0 || r.Path == "/sign-out" {
			continue
		}
		large := strings.Repeat("a", int(r.Body)+1)
		b, kind := owner, "application/x-www-form-urlencoded"
		if r.API != nil {
			kind = "application/json"
		}
		if r.Who.allow(models.Station) {
			b = station
		}
		if got := b.copy().do(r.Method, r.Path, kind, "name="+large).Code; got != http.StatusRequestEntityTooLarge &&
			!slices.Contains([]string{"/sign-in/code"}, r.Path) {
			t.Errorf("%s with %d bytes gave %d", r.Path, len(large), got)
		}
	}
}

func TestFaults(t *testing.T) {
	y := newYard(t)
	y.server.routes = append(y.server.routes,
		Route{Method: http.MethodGet, Path: "/api/bang", Who: anyone, Rate: ratePage, Do: func(*Server, *Visit) error { panic("secret inside") }},
		Route{Method: http.MethodGet, Path: "/bang", Who: anyone, Rate: ratePage, Do: func(*Server, *Visit) error { panic("secret inside") }})
	y.server.handler = y.server.outer(y.server.guard(y.server.withSession(y.server.engine())))
	b := y.browser()
	for _, path := range []string{"/api/bang", "/bang"} {
		w := b.get(path)
		if w.Code != http.StatusInternalServerError || strings.Contains(w.Body.String(), "secret inside") {
			t.Errorf("a panic was answered with %d %s", w.Code, w.Body)
		}
		if !strings.Contains(w.Body.String(), w.Header().Get("X-Request-Id")) {
			t.Error("the answer doesn't name the request")
		}
	}
	if !strings.Contains(y.log.String(), "secret inside") {
		t.Error("the log doesn't tell of the panic")
	}
	if p := problemOf(t, b.get("/api/nothing")); p.Status != http.StatusNotFound {
		t.Errorf("an unknown address gave %+v", p)
	}
	if p := problemOf(t, b.do(http.MethodDelete, "/api/reads", "", "")); p.Status != http.StatusMethodNotAllowed {
		t.Errorf("a wrong method gave %+v", p)
	}
	for _, path := range []string{"/", "/sign-in", "/nothing", "/api/openapi.json", "/healthz"} {
		h := b.get(path).Header()
		for name, want := range map[string]string{
			"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer",
		} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q", path, name, h.Get(name))
			}
		}
	}
	if w := b.get("/healthz"); w.Code != http.StatusOK || w.Body.String() != "well\n" {
		t.Errorf("health is %d %s", w.Code, w.Body)
	}
}
