package handlers

import (
	"net/url"

	"hulltally/costing"
	"hulltally/models"
)

// recordData is a worker's own record, to be read and printed.
type recordData struct {
	*models.WorkerRecord
	Weeks []recordWeek
	Sum   recordWeek
	Asked bool // the removal of the name waits for a yes
}

type recordWeek struct{ Week, Ordinary, Overtime, Double, Jobs, Indirect string }

// recordPage is what is kept of one worker.
func (s *Server) recordPage(v *Visit) error {
	number := v.Param("worker")
	if err := readable(number); err != nil {
		return err
	}
	var r *models.WorkerRecord
	err := s.store.Read(v.Request.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(v.Request.Context(), costing.InstantOf(s.now()))
		if err != nil {
			return err
		}
		r, err = tx.WorkerRecord(v.Request.Context(), f, number)
		return err
	})
	if err != nil {
		return err
	}
	d := recordData{WorkerRecord: r, Asked: v.Request.URL.Query().Has("remove")}
	var sum models.WorkedWeek
	for _, w := range r.Weeks {
		d.Weeks = append(d.Weeks, weekOf(w))
		sum.Ordinary += w.Ordinary
		sum.Overtime += w.Overtime
		sum.Double += w.Double
		sum.Jobs += w.Jobs
		sum.Indirect += w.Indirect
	}
	d.Sum = weekOf(sum)
	return v.Page("record.html", "Record of "+r.Name, d)
}

func weekOf(w models.WorkedWeek) recordWeek {
	h := func(seconds int64) string { return hoursOf(seconds).Text }
	return recordWeek{w.Week, h(w.Ordinary), h(w.Overtime), h(w.Double), h(w.Jobs), h(w.Indirect)}
}

// removeName takes a leaver's name out, once it was asked for and confirmed.
func (s *Server) removeName(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	number := v.Form("worker")
	if err := s.store.RemoveName(v.Request.Context(), number, s.deed(v)); err != nil {
		return err
	}
	return v.Redirect("/record/" + url.PathEscape(number))
}

// toRecord leads to a worker's own record, for those who may see it.
func (v *Visit) toRecord(number string) string {
	if !owner.allow(v.Caller.Role) {
		return ""
	}
	return "/record/" + url.PathEscape(number)
}
