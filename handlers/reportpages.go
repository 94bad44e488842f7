package handlers

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// askOf reads what is wanted of a report from the query.
func (s *Server) askOf(query url.Values) (Ask, error) {
	ask := Ask{Now: s.now()}
	for name, values := range query {
		value := values[len(values)-1]
		if err := readable(value); err != nil {
			return ask, err
		}
		if value == "" {
			continue
		}
		var err error
		switch name {
		case "hull":
			ask.Hull = value
		case "period":
			ask.Period, err = costing.ParsePeriod(value)
		case "at":
			ask.At, err = costing.ParseInstant(value)
		case "lot":
			ask.Lot = value
		case "batch":
			ask.Batch = value
		case "as":
		default:
			err = models.Errorf(models.Invalid, "%.40q is not asked of a report: ask by hull, period, at, lot, batch and as", name)
		}
		if err != nil {
			return ask, models.Errorf(models.Invalid, "%s: %v", name, err)
		}
	}
	return ask, nil
}

// reportTable is a report as the caller may see it.
func (s *Server) reportTable(v *Visit) (*Table, error) {
	name := v.Param("name")
	if _, known := reports[name]; !known {
		return nil, models.Errorf(models.NotFound, "there is no such report: choose one of %s", strings.Join(reportsOf(v.Caller.Role), ", "))
	}
	if !mayRead(v.Caller.Role, name) {
		return nil, errMayNot
	}
	ask, err := s.askOf(v.Request.URL.Query())
	if err != nil {
		return nil, err
	}
	t, err := Report(v.Request.Context(), s.store, name, ask)
	if err != nil {
		return nil, err
	}
	return t.For(v.Caller.Role), nil
}

// reportAnswer gives a report as JSON, CSV or XLSX.
func (s *Server) reportAnswer(v *Visit) error {
	as := v.Query("as")
	switch {
	case as == "" && strings.Contains(v.GetHeader("Accept"), "text/csv"):
		as = "csv"
	case as == "" && strings.Contains(v.GetHeader("Accept"), xlsxType):
		as = "xlsx"
	case as == "":
		as = "json"
	case as != "json" && fileTypes[as] == "":
		return models.Errorf(models.Invalid, "as: a report is given as json, csv or xlsx, not as %.40q", as)
	}
	t, err := s.reportTable(v)
	if err != nil {
		return err
	}
	v.Header("Vary", "Accept")
	v.Header("Content-Type", "application/json")
	var b bytes.Buffer
	if err := t.Write(&b, as, s.now()); err != nil {
		return err
	}
	if as != "json" {
		if err := s.store.Note(v.Request.Context(), s.deed(v), "exported", "report "+t.Name, v.Request.URL.RawQuery); err != nil {
			return err
		}
		v.Header("Content-Type", fileTypes[as])
		v.Header("Content-Disposition", `attachment; filename="`+t.Name+"."+as+`"`)
	}
	v.Status(http.StatusOK)
	_, err = v.Writer.Write(b.Bytes())
	return err
}

// reportsPage lists the reports that the caller may read.
func (s *Server) reportsPage(v *Visit) error {
	type item struct{ Name, About string }
	var items []item
	for _, name := range reportsOf(v.Caller.Role) {
		items = append(items, item{name, reportAbout[name]})
	}
	return v.Page("reports.html", "Reports", items)
}

// reportAbout says in a line what a report tells.
var reportAbout = map[string]string{
	"cost":   "What each hull and stage cost, against estimate and allowed cost, and why",
	"margin": "Price against the forecast at completion, hull by hull",
	"hours":  "Time by worker, week and pay band",
	"stock":  "The stock room by item and lot",
	"mass":   "Mass built in against the weight budget",
	"ties":   "The books held against each other: every difference should be nought",
	"month":  "The month's cost, revenue and profit by hull",

	"resin":     "Resin and hardener by hull and stage: net, drawn, waste, and the factor achieved against the factor allowed",
	"fibre":     "Reinforcements by hull and stage, the same way",
	"core":      "Cores by hull and stage, the same way",
	"mixes":     "Hardener to resin by weight, job by job, against what is stated",
	"factors":   "The waste factors that the last hulls suggest for the next estimate",
	"cutting":   "Offcuts of fibre and core by job and cutter",
	"laminates": "Fibre fraction of each laminate against the band of its process: questions, never an acceptance",
	"unweighed": "What is aboard without a weight",
	"trace":     "From a batch or lot to every hull, part, worker and date, and from a hull to every batch aboard",
	"order":     "What the open jobs still expect, by item and week, and what of it the stock does not cover",
}

// reportPage shows a report.
func (s *Server) reportPage(v *Visit) error {
	t, err := s.reportTable(v)
	if err != nil {
		return err
	}
	file := func(as string) string {
		query := v.Request.URL.Query()
		query.Set("as", as)
		return "/api/reports/" + t.Name + "?" + query.Encode()
	}
	return v.Page("report.html", "Report: "+t.Name, map[string]any{
		"Table": t, "Hull": v.Query("hull"), "Period": v.Query("period"), "At": v.Query("at"),
		"CSV": file("csv"), "XLSX": file("xlsx"),
	})
}
