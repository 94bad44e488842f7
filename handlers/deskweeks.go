package handlers

import (
	"fmt"

	"hulltally/costing"
	"hulltally/models"
)

// weekLine is a person's week on the page of approvals.
type weekLine struct {
	Worker, Name, Crew                 string
	Ordinary, Overtime, Double, Total  figure
	State                              string
	Changed, Approved, Ready           bool
	DOrdinary, DOvertime, DDouble, Day string
}

// deskWeeksPage shows a week's hours by person, to be approved. Never money.
func (s *Server) deskWeeksPage(v *Visit) error {
	var data map[string]any
	err := s.onDesk(v, func(d *leaderDesk) error {
		monday, err := d.weekAsked(v.Query("week"))
		if err != nil {
			return err
		}
		lines, err := d.weekLines(monday)
		ready := map[string]int{}
		for _, l := range lines {
			if l.Ready {
				ready[l.Crew]++
			}
		}
		data = map[string]any{
			"Week": monday.String(), "Until": (monday + 6).String(), "Lines": lines, "Name": monday.Week(),
			"Before": "/desk/weeks?week=" + (monday - 7).String(), "After": "/desk/weeks?week=" + (monday + 7).String(),
			"Crews": sortedKeys(ready), "Ready": ready,
		}
		return err
	})
	if err != nil {
		return err
	}
	return v.Page("deskweeks.html", "Approve hours", data)
}

// weekAsked is the Monday of the day asked for; without one, of last week.
func (d *leaderDesk) weekAsked(text string) (costing.Date, error) {
	if text == "" {
		return d.day.Monday() - 7, nil
	}
	day, err := costing.ParseDate(text)
	if err != nil {
		return 0, models.Errorf(models.Invalid, "week: %v", err)
	}
	return day.Monday(), nil
}

func (d *leaderDesk) weekLines(monday costing.Date) ([]weekLine, error) {
	weeks, err := d.tx.Weeks(d.ctx, monday, d.now)
	if err != nil {
		return nil, err
	}
	var lines []weekLine
	for _, w := range weeks {
		l := weekLine{
			Worker: w.Worker, Name: d.worker(w.Worker), Day: sheetPath(w.Worker, monday),
			Ordinary: hoursOf(w.Ordinary), Overtime: hoursOf(w.Overtime), Double: hoursOf(w.Double), Total: hoursOf(w.Ordinary + w.Overtime + w.Double),
		}
		if worker := d.yard.Workers[w.Worker]; worker != nil {
			if c := d.yard.Crews[worker.Crew]; c != nil {
				l.Crew = c.Name
			}
		}
		a := w.Approved
		switch l.Changed, l.Approved = w.Changed(), a != nil; {
		case l.Changed:
			l.State = "Changed since " + a.Who + " approved it on " + d.stamp(a.At)
			l.DOrdinary, l.DOvertime, l.DDouble = plusSeconds(w.Ordinary-a.Ordinary), plusSeconds(w.Overtime-a.Overtime), plusSeconds(w.Double-a.Double)
		case l.Approved:
			l.State = "Approved by " + a.Who + " on " + d.stamp(a.At)
		}
		if why := d.notReady(w); why != "" && (!l.Approved || l.Changed) {
			l.State = trimJoin(l.State, why)
		} else {
			l.Ready = !l.Approved || l.Changed
		}
		lines = append(lines, l)
	}
	return lines, nil
}

func trimJoin(a, b string) string {
	if a == "" {
		return b
	}
	return a + ". " + b
}

func plusSeconds(s int64) string { return fmt.Sprintf("%+d s", s) }

// notReady is why a week can't be approved yet.
func (d *leaderDesk) notReady(w *models.WeekHours) string {
	switch {
	case w.Running:
		return "Somebody is still on a job in it"
	case w.Provisional:
		return "Settle the forgotten clock-off first"
	case w.Week+7 > d.day:
		return "The week is not over"
	}
	return ""
}

// approve approves one person's week, or those of a crew that are ready; or
// takes an approval back.
func (s *Server) approve(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	do := v.Form("do")
	outcome := map[string]string{"approve": "approved", "crew": "approved", "withdraw": "withdrawn"}[do]
	if outcome == "" {
		return models.Errorf(models.Invalid, "the form does not say what to do: use the buttons of the page")
	}
	opts := s.entered(v, "week "+outcome, v.Form("worker")+v.Form("crew")+" "+v.Form("week"), "")
	var rows []any
	var monday costing.Date
	err := s.onDesk(v, func(d *leaderDesk) error {
		var err error
		if monday, err = d.weekAsked(v.Form("week")); err != nil {
			return err
		}
		weeks, err := d.tx.Weeks(d.ctx, monday, d.now)
		if err != nil {
			return err
		}
		lines, err := d.weekLines(monday)
		if err != nil {
			return err
		}
		for i, w := range weeks {
			l := lines[i]
			one := do != "crew" && w.Worker == v.Form("worker")
			switch {
			case do == "crew" && l.Crew == v.Form("crew") && l.Ready, one && do == "approve" && l.Ready, one && do == "withdraw" && l.Approved:
				rows = append(rows, w.Row(outcome, opts.Who, opts.Now))
			case one:
				return models.Errorf(models.Conflict, "this week cannot be %s: %s", outcome, l.State)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		return models.Errorf(models.Conflict, "there is nothing to approve: look at the week again")
	}
	if err := s.enterRows(v, opts, rows...); err != nil {
		return err
	}
	v.Flash("%d %s.", len(rows), map[bool]string{true: "week " + outcome, false: "weeks " + outcome}[len(rows) == 1])
	return v.Redirect("/desk/weeks?week=" + monday.String())
}
