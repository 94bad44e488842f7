package handlers

import (
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// exceptionGroup is the exceptions of a kind.
type exceptionGroup struct {
	Kind, Name string
	Lines      []exceptionLine
}

// exceptionLine is one of them, with the forms that settle it.
type exceptionLine struct {
	Kind, ID, When, Person, Job, Station, What, Ask string
	SheetHref, JobHref                              string
	FixAt                                           string // local time that a clock-off is proposed for
	Worker                                          string
	Problem                                         string
	Gone, Why, By                                   string // how it was settled
}

// exceptions are the open ones by kind, and on request those settled.
func (d *leaderDesk) exceptions(all bool) (open, settled []exceptionGroup, err error) {
	list, err := d.tx.Exceptions(d.ctx, d.now)
	if err != nil {
		return nil, nil, err
	}
	for _, k := range models.ExceptionKinds {
		var waiting, done []exceptionLine
		for i := range list {
			e := &list[i]
			switch {
			case e.Kind != k.Kind:
			case e.Open():
				waiting = append(waiting, d.exception(e))
			case all:
				done = append(done, d.exception(e))
			}
		}
		if len(waiting) > 0 {
			open = append(open, exceptionGroup{k.Kind, k.Name, waiting})
		}
		if len(done) > 0 {
			settled = append(settled, exceptionGroup{k.Kind, k.Name, done})
		}
	}
	return open, settled, nil
}

const localMinute = "2006-01-02T15:04"

func (d *leaderDesk) exception(e *models.Exception) exceptionLine {
	l := exceptionLine{Kind: e.Kind, ID: e.ID, When: d.stamp(e.At), What: e.What, Ask: e.Ask, Worker: e.Worker, Problem: e.Problem}
	if e.Worker != "" {
		l.Person, l.SheetHref = d.worker(e.Worker), sheetPath(e.Worker, costing.DateOf(e.At, d.yard.Zone))
	} else if c := d.yard.Crews[e.Crew]; c != nil {
		l.Person = c.Name
	}
	if e.Job != "" {
		l.Job, l.JobHref = d.job(e.Job), "/desk/job/"+pathEscape(e.Job)
	}
	if e.Lot != "" && l.Job == "" {
		l.Job = "Lot " + e.Lot
	}
	if e.Station != "" {
		l.Station = d.station(e.Station)
	}
	if e.Fix != nil {
		l.FixAt = e.Fix.At.Time().In(d.yard.Zone).Format(localMinute)
	}
	if e.Settled != nil && !e.Open() {
		l.Gone, l.Why, l.By = d.stamp(e.Settled.At), e.Settled.Why, e.Settled.Who
	}
	return l
}

// exceptionNamed finds one by kind and id.
func (d *leaderDesk) exceptionNamed(kind, id string) (*models.Exception, error) {
	list, err := d.tx.Exceptions(d.ctx, d.now)
	for i := range list {
		if list[i].Kind == kind && list[i].ID == id {
			return &list[i], nil
		}
	}
	if err != nil {
		return nil, err
	}
	return nil, models.Errorf(models.NotFound, "this is no longer on the desk: somebody has settled it")
}

// settle settles an exception: a clock-off at the time given, or the word that
// it may stand, or that word taken back.
func (s *Server) settle(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	why, err := v.reason()
	if err != nil {
		return err
	}
	var e *models.Exception
	var zone *costing.Yard
	if err := s.onDesk(v, func(d *leaderDesk) error {
		zone = d.yard
		e, err = d.exceptionNamed(v.Form("kind"), v.Form("id"))
		return err
	}); err != nil {
		return err
	}
	if v.Form("do") == "clock-off" {
		return s.clockOffAt(v, e, zone, why)
	}
	outcome := map[string]string{"dismiss": models.Dismissed, "reopen": models.Reopened}[v.Form("do")]
	if outcome == "" {
		return models.Errorf(models.Invalid, "the form does not say what to do: use the buttons of the page")
	}
	opts := s.entered(v, "exception "+outcome, e.Kind+" "+e.ID, why)
	row := models.SettledRow{Kind: e.Kind, Exception: e.ID, At: opts.Now, Outcome: outcome, Who: opts.Who, Why: why}
	if err := s.enterRows(v, opts, row); err != nil {
		return err
	}
	v.Flash("Noted: %s", strings.TrimSuffix(e.What, "."))
	return v.Redirect(v.back(deskPath))
}

// clockOffAt enters the missing clock-off. In a closed month it is explained
// first, on the person's day.
func (s *Server) clockOffAt(v *Visit, e *models.Exception, y *costing.Yard, why string) error {
	if e.Fix == nil {
		return models.Errorf(models.Invalid, "no correction is proposed for this: correct it on the person's day")
	}
	at, err := localInstant(v.Form("at"), y)
	if err != nil {
		return err
	}
	if v.Form("at") == e.Fix.At.Time().In(y.Zone).Format(localMinute) {
		at = e.Fix.At // to the second, as proposed
	}
	if at <= e.At {
		return models.Errorf(models.Invalid, "the clock-off must come after the booking's start")
	}
	row := *e.Fix
	row.At = at
	closed := false
	if err := s.onDesk(v, func(d *leaderDesk) error {
		through, err := d.tx.ClosedThrough()
		closed = costing.DateOf(at, d.yard.Zone).Period() <= through
		return err
	}); err != nil {
		return err
	}
	if closed {
		return v.Redirect(correctPath(row, why))
	}
	opts := s.entered(v, "corrected", "worker "+row.Worker, why)
	row.Who, row.Why = opts.Who, why
	if err := s.enterRows(v, opts, row); err != nil {
		return err
	}
	v.Flash("Clocked off.")
	return v.Redirect(v.back(deskPath))
}

// enterRows enters rows through the one door and has the desk counted anew.
func (s *Server) enterRows(v *Visit, opts models.LoadOptions, rows ...any) error {
	files, err := models.FilesOf(rows...)
	if err != nil {
		return err
	}
	if _, err := s.store.Enter(v.Request.Context(), files, opts); err != nil {
		return refusedRows(err)
	}
	s.settledNow()
	return nil
}
