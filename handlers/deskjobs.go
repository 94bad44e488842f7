package handlers

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// jobLine is a job in the list of jobs.
type jobLine struct {
	Key, Name, Hull, Progress, Href string
	Done                            bool
}

// deskJobsPage lists the jobs of a hull with their progress, and the checks
// noted on them, which go out as CSV.
func (s *Server) deskJobsPage(v *Visit) error {
	var data map[string]any
	var checks *grid
	err := s.onDesk(v, func(d *leaderDesk) error {
		hull := v.Query("hull")
		hulls := sortedKeys(d.yard.Hulls)
		if hull == "" && len(hulls) > 0 {
			hull = hulls[len(hulls)-1]
		}
		if hull != "" && d.yard.Hulls[hull] == nil {
			return models.Errorf(models.NotFound, "there is no hull %.40q", hull)
		}
		stated, err := d.tx.Stated(d.now)
		if err != nil {
			return err
		}
		var lines []jobLine
		var keys []string
		for _, key := range sortedKeys(d.yard.Jobs) {
			if j := d.yard.Jobs[key]; slices.ContainsFunc(j.Shares, func(of costing.ShareOf) bool { return of.Hull == hull }) {
				keys = append(keys, key)
				lines = append(lines, jobLine{
					Key: key, Name: d.job(key), Progress: strconv.Itoa(stated[key]), Done: stated[key] == 100, Href: "/desk/job/" + pathEscape(key),
				})
			}
		}
		checks, err = d.checksGrid(v, keys, "checks")
		data = map[string]any{"Hull": hull, "Hulls": hulls, "Jobs": lines, "Checks": checks}
		return err
	})
	if err != nil {
		return err
	}
	if name := v.Query("csv"); name != "" {
		return s.answerFile(v, "csv", name, &ground{grids: []*grid{checks}})
	}
	return v.Page("deskjobs.html", "Jobs", data)
}

// checksGrid is a table of the checks noted on some jobs.
func (d *leaderDesk) checksGrid(v *Visit, jobs []string, id string) (*grid, error) {
	t := &grid{
		ID: id, Caption: "Checks", CSV: fileAddress(v.Request.URL, "csv", id), Empty: "No check is noted.",
		Columns: []gridColumn{
			col("job", "Job"), col("at", "When"), col("check", "Check"), numCol("value", "Value"), col("unit", "Unit"),
			numCol("minutes", "Over minutes"), col("who", "Who"), col("station", "Where"), col("note", "Note"),
		},
	}
	list, err := d.tx.ChecksAt(d.ctx, jobs, d.now)
	for _, c := range list {
		minutes := figure{}
		if c.Minutes != 0 {
			minutes = words(c.Minutes.String())
		}
		where := "desk"
		if c.Station != "" {
			where = d.station(c.Station)
		}
		t.add(words(c.Job), figure{Value: c.At.String(), Text: d.stamp(c.At)}, words(models.CheckName(c.Kind)), words(c.Value.String()),
			words(models.CheckUnit(c.Kind)), minutes, words(c.Who), words(where), words(c.Note))
	}
	return t, err
}

type holdLine struct{ Kind, Job, Before, Hours, State string }

// deskJobPage is a job as the leader sees it: progress, holds, checks.
func (s *Server) deskJobPage(v *Visit) error {
	var data map[string]any
	var checks *grid
	err := s.onDesk(v, func(d *leaderDesk) error {
		key := v.Param("job")
		j := d.yard.Jobs[key]
		if j == nil {
			return models.Errorf(models.NotFound, "there is no job %.40q", key)
		}
		stated, err := d.tx.Stated(d.now)
		if err != nil {
			return err
		}
		holds, err := d.holds(key)
		if err != nil {
			return err
		}
		checks, err = d.checksGrid(v, []string{key}, "checks")
		var others []target
		for _, other := range sortedKeys(d.yard.Jobs) {
			if other != key && sharesHull(d.yard.Jobs[other], j) {
				others = append(others, target{other, d.job(other)})
			}
		}
		data = map[string]any{
			"Key": key, "Name": d.job(key), "Hull": j.Shares[0].Hull, "Progress": stated[key], "Holds": holds, "Checks": checks,
			"Others": others, "Kinds": checkChoices(), "Now": d.now.Time().In(d.yard.Zone).Format(localMinute),
		}
		return err
	})
	if err != nil {
		return err
	}
	if name := v.Query("csv"); name != "" {
		return s.answerFile(v, "csv", name, &ground{grids: []*grid{checks}})
	}
	return v.Page("deskjob.html", data["Name"].(string), data)
}

func sharesHull(a, b *costing.Job) bool {
	return slices.ContainsFunc(a.Shares, func(x costing.ShareOf) bool {
		return slices.ContainsFunc(b.Shares, func(y costing.ShareOf) bool { return x.Hull == y.Hull })
	})
}

func checkChoices() []target {
	var list []target
	for _, k := range clock.CheckKinds {
		name := models.CheckName(k)
		if u := models.CheckUnit(k); u != "" {
			name += " (" + u + ")"
		}
		list = append(list, target{string(k), name})
	}
	return list
}

// holds are those that a job makes others wait for, and those it waits for.
func (d *leaderDesk) holds(job string) ([]holdLine, error) {
	var list []holdLine
	for _, before := range sortedKeys(d.yard.JobHolds) {
		for _, h := range d.yard.JobHolds[before] {
			if h.Job != job && before != job {
				continue
			}
			until, begun, err := d.tx.HoldUntil(&h, d.now)
			if err != nil {
				return nil, err
			}
			state := "not begun: " + h.Job + " is not signed off"
			switch {
			case begun && until > d.now:
				state = "until " + d.stamp(until) + ", " + lasted(int64(until-d.now)/1000) + " h left"
			case begun:
				state = "over since " + d.stamp(until)
			}
			list = append(list, holdLine{models.HoldName(h.Kind), h.Job, h.Before, h.Hours.String(), state})
		}
	}
	return list, nil
}

// stateProgress states a job's progress from the desk, or signs it off.
func (s *Server) stateProgress(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	job, why := v.Param("job"), strings.TrimSpace(v.Form("why"))
	percent, err := strconv.Atoi(v.Form("percent"))
	if err != nil || percent < 0 || percent > 100 {
		return models.Errorf(models.Invalid, "%.20q is no per cent from 0 to 100", v.Form("percent"))
	}
	opts := s.entered(v, "progress stated", fmt.Sprintf("job %s %d %%", job, percent), why)
	row := models.ProgressRow{Job: job, At: opts.Now, Percent: percent, Who: opts.Who, Why: why}
	if err := s.enterRows(v, opts, row); err != nil {
		return err
	}
	v.Flash("%s stands at %d %%.", job, percent)
	return v.Redirect(v.back("/desk/job/" + pathEscape(job)))
}

// noteCheck notes a check from the desk.
func (s *Server) noteCheck(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	job := v.Param("job")
	value, err := costing.ParseDecimal(strings.Replace(v.Form("value"), ",", ".", 1))
	if err != nil {
		return models.Errorf(models.Invalid, "value: %v", err)
	}
	opts := s.entered(v, "check noted", "job "+job, v.Form("note"))
	row := models.CheckRow{Job: job, At: opts.Now, Check: v.Form("check"), Value: models.Decimal(value), Who: opts.Who, Note: strings.TrimSpace(v.Form("note"))}
	if text := v.Form("minutes"); text != "" {
		m, err := costing.ParseDecimal(strings.Replace(text, ",", ".", 1))
		if err != nil {
			return models.Errorf(models.Invalid, "minutes: %v", err)
		}
		q := costing.Quantity(m)
		row.Minutes = &q
	}
	if err := s.enterRows(v, opts, row); err != nil {
		return err
	}
	v.Flash("Noted.")
	return v.Redirect("/desk/job/" + pathEscape(job))
}

// putHold states that a job has to stand before another one is begun.
func (s *Server) putHold(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	job := v.Param("job")
	hours, err := costing.ParseDecimal(strings.Replace(v.Form("hours"), ",", ".", 1))
	if err != nil {
		return models.Errorf(models.Invalid, "hours: %v", err)
	}
	opts := s.entered(v, "hold stated", "job "+job, "")
	row := models.JobHoldRow{Job: job, Kind: v.Form("kind"), Before: v.Form("before"), Hours: costing.Quantity(hours)}
	if err := s.enterRows(v, opts, row); err != nil {
		return err
	}
	v.Flash("%s waits for %s.", row.Before, job)
	return v.Redirect("/desk/job/" + pathEscape(job))
}

// openRework opens a job for what a problem takes: its cost is rework of the
// hull, and the link says of which problem.
func (s *Server) openRework(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	var rework models.JobRow
	opts := s.entered(v, "rework opened", "problem "+v.Form("id"), strings.TrimSpace(v.Form("why")))
	if err := s.onDesk(v, func(d *leaderDesk) error {
		e, err := d.exceptionNamed("problem", v.Form("id"))
		if err != nil {
			return err
		}
		rework, err = d.tx.ReworkFor(d.ctx, e.Job)
		return err
	}); err != nil {
		return err
	}
	link := models.ReworkRow{Job: rework.Job, Problem: v.Form("id"), At: opts.Now, Who: opts.Who}
	if err := s.enterRows(v, opts, rework, link); err != nil {
		return err
	}
	v.Flash("Rework %s is open. Print its card, so that time and material go to it.", rework.Job)
	return v.Redirect(deskPath)
}
