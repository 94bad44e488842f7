package handlers

import (
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

func twoDigits(n int64, pad bool) string {
	if pad {
		return fmt.Sprintf("%02d", n)
	}
	return fmt.Sprint(n)
}

// refusedRows is a form's refusal in place of a file's.
func refusedRows(err error) error {
	var problems *models.Problems
	if errors.As(err, &problems) && len(problems.List) > 0 {
		p := problems.List[0]
		return models.Errorf(models.Invalid, "%s %s", p.Column, p.Reason)
	}
	return err
}

// localInstant reads a local time such as 2026-03-02T16:00 or with seconds.
func localInstant(text string, y *costing.Yard) (costing.Instant, error) {
	for _, layout := range []string{localMinute, localMinute + ":05", localMinute + ":05.000"} {
		if t, err := time.ParseInLocation(layout, text, y.Zone); err == nil {
			return costing.InstantOf(t), nil
		}
	}
	return 0, models.Errorf(models.Invalid, "%.40q is no day and time: give it as 2026-03-02T16:00", text)
}

func correctPath(r models.CorrectionRow, why string) string {
	q := url.Values{"do": {r.Kind}, "at": {r.At.String()}, "target": {r.Target}, "why": {why}}
	return "/desk/person/" + url.PathEscape(r.Worker) + "/correct?" + q.Encode()
}

// sheetRow is a line of a day's table.
type sheetRow struct {
	From, To, For, What, Band, Mark string
	VoidAt                          string // the instant that a void takes back
	SplitMin, SplitMax              string // local times between which a split lies
}

// sheetData is a person's day as the page shows it.
type sheetData struct {
	Worker, Name, Day, Before, After string
	Rows                             []sheetRow
	Corrections                      []sheetCorrection
	Total                            string
	Timeline                         *timeline
	Week                             string
	Closed                           string
}

type sheetCorrection struct{ At, What, Who, Why string }

func (d *leaderDesk) sheet(worker string, day costing.Date) (*sheetData, error) {
	s, err := d.tx.DaySheet(d.ctx, worker, day, d.now)
	if err != nil {
		return nil, err
	}
	data := &sheetData{
		Worker: worker, Name: s.Worker.Name, Day: day.String(),
		Before: sheetPath(worker, day-1), After: sheetPath(worker, day+1), Timeline: d.timeline(s), Week: day.Monday().String(),
	}
	var total int64
	shown := map[string]bool{}
	for i := range s.Pieces {
		p := &s.Pieces[i]
		total += p.Seconds
		row := sheetRow{
			From: d.second(p.Start), To: d.second(p.Start + p.Seconds), For: lasted(p.Seconds), What: d.doing(p), Band: string(p.Band),
		}
		row.SplitMin, row.SplitMax = d.minute(p.Start), d.minute(p.Start+p.Seconds)
		e := s.Opened[p.Opened]
		row.Mark = marks(p, e)
		if e != nil && !shown[p.Opened] && costing.DateOf(e.At, d.yard.Zone) == day {
			shown[p.Opened] = true
			row.VoidAt = e.At.String()
		}
		data.Rows = append(data.Rows, row)
	}
	data.Total = lasted(total)
	for _, c := range s.Corrections {
		data.Corrections = append(data.Corrections, sheetCorrection{d.second(c.At.Second()), d.correctionWords(c), c.Who, c.Why})
	}
	through, err := d.tx.ClosedThrough()
	if err == nil && through != 0 && day.Period() <= through {
		data.Closed = fmt.Sprintf("%s is closed. A correction of this day leaves its figures as they are; the difference is booked as an adjustment dated %s.",
			day.Period(), through.Next().First())
	}
	return data, err
}

func (d *leaderDesk) second(s int64) string {
	return time.Unix(s, 0).In(d.yard.Zone).Format("15:04:05")
}

func (d *leaderDesk) minute(s int64) string {
	return time.Unix(s, 0).In(d.yard.Zone).Format(localMinute)
}

func (d *leaderDesk) doing(p *clock.Piece) string {
	if p.Job != "" {
		return d.job(p.Job)
	}
	if i := d.yard.Indirects[p.Indirect]; i != nil {
		return i.Name
	}
	return p.Indirect
}

func marks(p *clock.Piece, e *models.EntryOf) string {
	var list []string
	if p.Running {
		list = append(list, "running")
	}
	if p.Provisional {
		list = append(list, "provisional")
	}
	if p.NoRate {
		list = append(list, "no rate")
	}
	if e != nil && e.Correction {
		list = append(list, "corrected by "+e.Who)
	}
	return strings.Join(list, ", ")
}

func (d *leaderDesk) correctionWords(c models.CorrectionRow) string {
	what := c.Target
	switch {
	case c.Target == "off":
		what = "clock-off"
	case c.Target == "":
		what = "what was scanned then"
	case d.yard.Jobs[c.Target] != nil:
		what = d.job(c.Target)
	}
	if c.Kind == models.VoidEntry {
		return "Taken back: " + what
	}
	return "Added: " + what
}

// targets are what a correction may clock on to.
type target struct{ Key, Name string }

func (d *leaderDesk) targets() []target {
	list := []target{{"off", "Clock off"}}
	for _, key := range sortedKeys(d.yard.Indirects) {
		list = append(list, target{key, d.yard.Indirects[key].Name})
	}
	for _, key := range sortedKeys(d.yard.Jobs) {
		list = append(list, target{key, d.job(key)})
	}
	return list
}

// sheetPage is a person's day.
func (s *Server) sheetPage(v *Visit) error {
	var data map[string]any
	err := s.onDesk(v, func(d *leaderDesk) error {
		day := d.day
		if text := v.Query("day"); text != "" {
			var err error
			if day, err = costing.ParseDate(text); err != nil {
				return models.Errorf(models.Invalid, "day: %v", err)
			}
		}
		sheet, err := d.sheet(v.Param("worker"), day)
		if err == nil {
			data = map[string]any{"Sheet": sheet, "Targets": d.targets(), "Now": d.now.Time().In(d.yard.Zone).Format(localMinute)}
		}
		return err
	})
	if err != nil {
		return err
	}
	return v.Page("desksheet.html", data["Sheet"].(*sheetData).Name, data)
}
