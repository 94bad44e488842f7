package handlers

import (
	"cmp"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/costing/review"
	"hulltally/costing/variance"
	"hulltally/labels"
	"hulltally/models"
)

// stagePage is one stage of a hull: each figure leads to its postings.
func (s *Server) stagePage(v *Visit) error { return s.owned(v, stagePage) }

func stagePage(g *ground) (*ownedPage, error) {
	b, err := g.books()
	if err != nil {
		return nil, err
	}
	h, err := g.hull(b)
	if err != nil {
		return nil, err
	}
	key := g.visit.Param("stage")
	at := slices.IndexFunc(h.Stages, func(s review.Stage) bool { return s.Stage.Key == key })
	if at < 0 {
		return nil, models.Errorf(models.NotFound, "hull %s has neither an estimate nor cost in a stage %q", h.Hull.Key, key)
	}
	s := &h.Stages[at]
	why, err := g.stageReasons(b, h, key)
	if err != nil {
		return nil, err
	}
	inStage := func(j *costing.Job) bool { return j.Stage == key }
	return &ownedPage{"stage.html", g.stageName(key) + ", " + nameOf(h.Hull), map[string]any{
		"AsOf": g.asOf(), "Board": g.link("/board"), "Hull": figure{Text: nameOf(h.Hull), Href: g.toHull(h.Hull.Key)},
		"Stage": g.stageName(key), "Progress": part(s.Progress), "Estimate": g.cash(s.Estimate), "Allowed": g.cash(s.Allowed),
		"Actual":   g.cash(s.Actual).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: key})),
		"Variance": g.cause(s.Variance()), "ToComplete": g.cash(s.ToComplete), "AtCompletion": g.cash(s.AtCompletion()),
		"Reasons": why, "Rows": g.rowsTable(b, h, key), "Forecast": g.cellsTable(b, h, key), "Months": g.monthsTable(b, h, key),
		"Print":  g.visit.toPrint(labels.SheetStage, "hull", h.Hull.Key, "stage", key),
		"Jobs":   g.jobsTable("jobs", "What each job cost", b, h, inStage),
		"Also":   g.materialLinks(h.Hull.Key),
		"Grades": g.gradesTable(b, h, key), "Material": g.materialTable(b, h, key), "Bought": g.boughtTable(h, key),
		"AllHulls": g.link("/stage/" + pathEscape(key)), "MayState": staters.allow(g.visit.Caller.Role) && g.at == "", "Code": g.currency.Code,
		"State": "/hull/" + pathEscape(h.Hull.Key) + "/stage/" + pathEscape(key) + "/state", "Elements": elementOrder,
	}}, nil
}

func (g *ground) stageReasons(b *review.Books, h *review.Hull, stage string) (list []reason, err error) {
	findings := h.Findings()
	for i := range findings {
		if f := &findings[i]; f.Stage != nil && f.Stage.Key == stage {
			said, err := g.say(b, h, f)
			if err != nil {
				return nil, err
			}
			list = append(list, reason{g.signed(-f.Cost), said})
		}
	}
	return list, nil
}

// elementOrder is the order in which elements are shown.
var elementOrder = []costing.Element{costing.Labour, costing.Overhead, costing.Material, costing.BoughtIn}

// rowsTable has every row of the cost report, with all its causes.
func (g *ground) rowsTable(b *review.Books, h *review.Hull, stage string) *grid {
	var rows []*variance.Row
	used := map[variance.Cause]bool{}
	for i := range b.Rows {
		if r := &b.Rows[i]; r.Hull == h.Hull.Key && r.Stage == stage {
			rows = append(rows, r)
			for c := range r.Variances {
				used[c] = true
			}
		}
	}
	slices.SortStableFunc(rows, func(x, y *variance.Row) int {
		return cmp.Or(cmp.Compare(x.Purpose, y.Purpose), cmp.Compare(slices.Index(elementOrder, x.Element), slices.Index(elementOrder, y.Element)))
	})
	t := g.table("causes", "Actual against allowed, by cause: + costs more, − costs less", col("element", "Element"), col("purpose", "Purpose"),
		numCol("seconds", "Time, h"), numCol("estimate", "Estimate, "+g.currency.Code), numCol("allowed", "Allowed"), numCol("actual", "Actual"))
	var causes []variance.Cause
	for _, c := range variance.Causes {
		if used[c] {
			causes = append(causes, c)
			t.Columns = append(t.Columns, numCol(string(c), causeNames[c]))
		}
	}
	var sum variance.Row
	sum.Variances = map[variance.Cause]costing.Money{}
	for _, r := range rows {
		cells := []figure{
			words(string(r.Element)), words(string(r.Purpose)), hoursOf(r.Seconds), g.cash(r.Estimate), g.cash(r.Allowed),
			g.cash(r.Actual).to(g.toPostings(review.Target{Hull: r.Hull, Stage: r.Stage, Element: r.Element, Purpose: r.Purpose})),
		}
		for _, c := range causes {
			m, there := r.Variances[c]
			if there {
				cells = append(cells, g.cause(m))
			} else {
				cells = append(cells, figure{})
			}
			sum.Variances[c] += m
		}
		sum.Seconds += r.Seconds
		sum.Estimate += r.Estimate
		sum.Allowed += r.Allowed
		sum.Actual += r.Actual
		t.add(cells...)
	}
	cells := []figure{
		words("The stage"),
		{},
		hoursOf(sum.Seconds), g.cash(sum.Estimate), g.cash(sum.Allowed),
		g.cash(sum.Actual).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage})),
	}
	for _, c := range causes {
		cells = append(cells, g.cause(sum.Variances[c]))
	}
	t.foot(cells...)
	return t
}

// causeNames are the causes in words.
var causeNames = map[variance.Cause]string{
	variance.LabourRate: "Pay rate", variance.LabourEfficiency: "Hours", variance.MaterialPrice: "Material price",
	variance.MaterialUsage: "Usage", variance.MaterialWaste: "Waste", variance.MaterialTakeOff: "Take-off", variance.Mix: "Mix",
	variance.Yield: "Yield", variance.Unplanned: "Unplanned", variance.OverheadEfficiency: "Overhead on hours",
	variance.BoughtIn: "Bought-in", variance.Rework: "Rework",
}

// methodNames are the methods as columns.
var methodNames = []struct {
	method     forecast.Method
	key, label string
}{
	{forecast.AtEstimate, "at_estimate", "At estimate"},
	{forecast.AtEfficiency, "at_efficiency", "At the efficiency so far"},
	{forecast.InLumps, "in_lumps", "Estimate less spent"},
	{forecast.Stated, "stated", "Stated"},
}

// cellsTable shows the forecast of each element by every method.
func (g *ground) cellsTable(b *review.Books, h *review.Hull, stage string) *grid {
	t := g.table("forecast", "To complete, by each method", col("element", "Element"), col("apart", "Of"), numCol("progress", "Progress"),
		numCol("estimate", "Estimate, "+g.currency.Code), numCol("actual", "Actual"))
	for _, m := range methodNames {
		t.Columns = append(t.Columns, numCol(m.key, m.label))
	}
	t.Columns = append(t.Columns, numCol("to_complete", "To complete"), numCol("low", "Least"), numCol("high", "Most"), col("why", "Why this one"))
	var low, high costing.Money
	var estimate, actual, rest costing.Money
	for i := range b.Cells {
		c := &b.Cells[i]
		if c.Hull != h.Hull.Key || c.Stage != stage {
			continue
		}
		of := "the build"
		if c.Apart {
			of = "rework and warranty"
		}
		cells := []figure{words(string(c.Element)), words(of), part(c.Progress), g.cash(c.Estimate), g.cash(c.Actual)}
		for _, m := range methodNames {
			v, there := c.Methods[m.method]
			f := figure{}
			if there {
				f = g.cash(v)
			}
			if m.method == c.Chosen {
				f.Class, f.Note = "chosen", "chosen"
			}
			cells = append(cells, f)
		}
		least, most := c.Bounds()
		t.add(append(cells, g.cash(c.ToComplete()), g.cash(least), g.cash(most), words(g.reasonOf(c)))...)
		low += least
		high += most
		estimate += c.Estimate
		actual += c.Actual
		rest += c.ToComplete()
	}
	foot := []figure{words("The stage"), {}, {}, g.cash(estimate), g.cash(actual)}
	for range methodNames {
		foot = append(foot, figure{})
	}
	t.foot(append(foot, g.cash(rest), g.cash(low), g.cash(high), figure{})...)
	return t
}

// monthsTable is the stage's cost by month and element.
func (g *ground) monthsTable(b *review.Books, h *review.Hull, stage string) *grid {
	months := map[costing.Period]map[costing.Element]costing.Sums{}
	for k, s := range b.Totals.Cells {
		if k.Hull != h.Hull.Key || k.Stage != stage || s.IsZero() {
			continue
		}
		if months[k.Period] == nil {
			months[k.Period] = map[costing.Element]costing.Sums{}
		}
		months[k.Period][k.Element] = months[k.Period][k.Element].Plus(s)
	}
	t := g.table("months", "Cost by month", col("month", "Month"), numCol("seconds", "Time, h"))
	for _, el := range elementOrder {
		t.Columns = append(t.Columns, numCol(string(el), string(el)+", "+g.currency.Code))
	}
	t.Columns = append(t.Columns, numCol("cost", "Together"))
	t.Empty = "Nothing has been spent yet."
	sum := map[costing.Element]costing.Sums{}
	row := func(name figure, of map[costing.Element]costing.Sums, period string) []figure {
		cells := []figure{name, hoursOf(of[costing.Labour].Seconds)}
		var all costing.Money
		for _, el := range elementOrder {
			f := figure{}
			if s, there := of[el]; there {
				f = g.cash(s.Amount).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage, Element: el}, "period", period))
			}
			all += of[el].Amount
			cells = append(cells, f)
		}
		return append(cells, g.cash(all).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage}, "period", period)))
	}
	for _, p := range slices.Sorted(maps.Keys(months)) {
		t.add(row(figure{Value: p.String(), Text: review.MonthName(p) + " " + p.String()[:4]}, months[p], p.String())...)
		for el, s := range months[p] {
			sum[el] = sum[el].Plus(s)
		}
	}
	t.foot(row(words("The stage"), sum, "")...)
	return t
}
