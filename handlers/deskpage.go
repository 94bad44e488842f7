package handlers

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// deskPath is the team leader's desk. Nothing on it tells money.
const deskPath = "/desk"

// leaderDesk is what the pages of the leader's desk are made on: one reading
// transaction, and names for keys.
type leaderDesk struct {
	ctx  context.Context
	tx   *models.Tx
	yard *costing.Yard
	now  costing.Instant
	day  costing.Date
}

func (s *Server) onDesk(v *Visit, do func(d *leaderDesk) error) error {
	ctx := v.Request.Context()
	for name, values := range v.Request.URL.Query() {
		for _, value := range values {
			if err := readable(value); err != nil {
				return models.Errorf(models.Invalid, "%.40q: %v", name, err)
			}
		}
	}
	return s.store.Read(ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		now := costing.InstantOf(s.now())
		return do(&leaderDesk{ctx: ctx, tx: tx, yard: snap.Yard, now: now, day: costing.DateOf(now, snap.Yard.Zone)})
	})
}

func (d *leaderDesk) clock(at costing.Instant) string {
	return at.Time().In(d.yard.Zone).Format("15:04")
}

func (d *leaderDesk) stamp(at costing.Instant) string {
	if costing.DateOf(at, d.yard.Zone) == d.day {
		return d.clock(at)
	}
	return at.Time().In(d.yard.Zone).Format("2006-01-02 15:04")
}

func (d *leaderDesk) worker(key string) string {
	if w := d.yard.Workers[key]; w != nil {
		return w.Name
	}
	return key
}

func (d *leaderDesk) station(key string) string {
	if st := d.yard.Stations[key]; st != nil {
		return st.Name
	}
	return key
}

// job is what a job is called: its key, stage and part.
func (d *leaderDesk) job(key string) string {
	j := d.yard.Jobs[key]
	if j == nil {
		return key
	}
	stage := j.Stage
	if st := d.yard.Stages[j.Stage]; st != nil {
		stage = st.Name
	}
	return strings.TrimSuffix(key+" · "+stage+" · "+j.Part, " · ")
}

func sheetPath(worker string, day costing.Date) string {
	return "/desk/person/" + url.PathEscape(worker) + "?day=" + day.String()
}

// atWorkLine and the rest are what the templates are given: text alone.
type atWorkLine struct {
	Name, Since, For, Key, Doing, Hull, Station, Href string
	Job, Forgotten                                    bool
}

type expectedLine struct{ Name, Crew, Shift, Left, Href string }

type deskFloor struct {
	At       string
	Working  []atWorkLine
	Expected []expectedLine
}

func (d *leaderDesk) floor() (*deskFloor, error) {
	at, missing, err := d.tx.Floor(d.ctx, d.now)
	if err != nil {
		return nil, err
	}
	f := &deskFloor{At: d.clock(d.now)}
	for i := range at {
		a := &at[i]
		f.Working = append(f.Working, atWorkLine{
			Name: a.Name, Since: d.stamp(a.Since), For: lasted(int64(d.now-a.Since) / 1000), Key: a.Key, Doing: a.Doing, Hull: a.Hull,
			Station: d.station(a.Station), Job: a.Kind == "job", Forgotten: a.Forgotten,
			Href: sheetPath(a.Worker, costing.DateOf(a.Since, d.yard.Zone)),
		})
	}
	for _, e := range missing {
		line := expectedLine{Name: e.Name, Crew: e.Crew, Shift: d.clock(e.From) + "–" + d.clock(e.To), Href: sheetPath(e.Worker, d.day)}
		if e.Left != 0 {
			line.Left = d.clock(e.Left)
		}
		f.Expected = append(f.Expected, line)
	}
	return f, nil
}

// lasted is h:mm.
func lasted(seconds int64) string {
	m := max(0, seconds) / 60
	return twoDigits(m/60, false) + ":" + twoDigits(m%60, true)
}

// deskPage shows who is on what and what waits to be settled.
func (s *Server) deskPage(v *Visit) error {
	var data map[string]any
	err := s.onDesk(v, func(d *leaderDesk) error {
		floor, err := d.floor()
		if err != nil {
			return err
		}
		waiting, settled, err := d.exceptions(v.Query("settled") != "")
		data = map[string]any{
			"Floor": floor, "Waiting": waiting, "Settled": settled, "All": v.Query("settled") != "", "Open": countLines(waiting),
		}
		return err
	})
	if err != nil {
		return err
	}
	return v.Page("desk.html", "Team leader's desk", data)
}

// wallPage is the same list of people in large type, for a wall or a tablet.
func (s *Server) wallPage(v *Visit) error {
	var floor *deskFloor
	if err := s.onDesk(v, func(d *leaderDesk) (err error) {
		floor, err = d.floor()
		return err
	}); err != nil {
		return err
	}
	return v.Page("deskwall.html", "Who is on what", map[string]any{"Floor": floor, "Open": s.waiting(v)})
}

// deskFloorPart is the part of the pages that changes with every scan. The
// page asks for it again and again; where nothing changed it is not sent.
func (s *Server) deskFloorPart(v *Visit) error {
	var floor *deskFloor
	if err := s.onDesk(v, func(d *leaderDesk) (err error) {
		floor, err = d.floor()
		return err
	}); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := s.pages.byName["desk.html"].ExecuteTemplate(&b, "desk-floor", floor); err != nil {
		return err
	}
	v.Data(http.StatusOK, "text/html; charset=utf-8", b.Bytes())
	return nil
}

// waitingCount is how many exceptions are open. It is counted for every page,
// so for a few seconds the last count serves.
type waitingCount struct {
	mu sync.Mutex
	at time.Time
	n  int
}

const waitingFor = 5 * time.Second

func (s *Server) waiting(v *Visit) int {
	w := &s.desk
	w.mu.Lock()
	defer w.mu.Unlock()
	now := s.now()
	if age := now.Sub(w.at); age >= 0 && age < waitingFor {
		return w.n
	}
	n, err := s.store.OpenExceptions(v.Request.Context(), costing.InstantOf(now))
	if err == nil { // a count that fails does not take the page with it
		w.n, w.at = n, now
	}
	return w.n
}

// settledNow makes the next page count anew.
func (s *Server) settledNow() {
	s.desk.mu.Lock()
	defer s.desk.mu.Unlock()
	s.desk.at = time.Time{}
}

func countLines(groups []exceptionGroup) (n int) {
	for _, g := range groups {
		n += len(g.Lines)
	}
	return n
}

// entered is what a form of the desk did, in the logbook's words.
func (s *Server) entered(v *Visit, did, subject, why string) models.LoadOptions {
	deed := s.deed(v)
	return models.LoadOptions{Now: deed.At, Who: deed.Who, Did: did, Subject: subject, Why: why, Source: deed.Source}
}

// reason is a form's reason, which every settlement wants.
func (v *Visit) reason() (string, error) {
	why := strings.TrimSpace(v.Form("why"))
	if why == "" {
		return "", models.Errorf(models.Invalid, "the reason is blank: say in a word or two why")
	}
	return why, nil
}

// back is where a form leads to afterwards: a page of the desk.
func (v *Visit) back(or string) string {
	to := v.Form("back")
	if to == deskPath || strings.HasPrefix(to, deskPath+"/") || strings.HasPrefix(to, deskPath+"?") {
		if u, err := url.Parse(to); err == nil && u.Host == "" && !slices.Contains([]string{"//"}, to[:2]) {
			return to
		}
	}
	return or
}
