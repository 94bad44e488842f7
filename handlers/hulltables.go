package handlers

import (
	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/costing/review"
)

// stagesTable sets each stage's cost against estimate and allowance.
func (g *ground) stagesTable(h *review.Hull) *grid {
	t := g.table("stages", "Cost by stage", col("stage", "Stage"), numCol("progress", "Progress"), numCol("estimate", "Estimate, "+g.currency.Code),
		numCol("allowed", "Allowed so far"), numCol("actual", "Actual"), numCol("variance", "Actual − allowed"),
		numCol("to_complete", "To complete"), numCol("at_completion", "At completion"))
	for i := range h.Stages {
		s := &h.Stages[i]
		href := g.toStage(h.Hull.Key, s.Stage.Key)
		t.add(figure{Value: s.Stage.Key, Text: g.stageName(s.Stage.Key), Href: href}, part(s.Progress), g.cash(s.Estimate), g.cash(s.Allowed),
			g.cash(s.Actual).to(href), g.cause(s.Variance()).to(href+"#causes"), g.cash(s.ToComplete).to(href+"#forecast"), g.cash(s.AtCompletion())).ID = "stage-" + s.Stage.Key
	}
	t.foot(words("The hull"), part(h.Progress()), g.cash(h.Estimate), g.cash(h.Allowed), g.cash(h.Actual), g.cause(h.Actual-h.Allowed),
		g.cash(h.ToComplete), g.cash(h.AtCompletion))
	return t
}

// causesTable splits each stage's actual − allowed by cause.
func (g *ground) causesTable(h *review.Hull) *grid {
	sum := h.Split()
	t := g.table("causes", "Actual − allowed by cause: + costs more, − costs less", col("stage", "Stage"))
	var themes []review.Theme
	for _, th := range review.Themes {
		if _, there := sum[th]; there {
			themes = append(themes, th)
			t.Columns = append(t.Columns, numCol(string(th), th.Label()))
		}
	}
	t.Columns = append(t.Columns, numCol("sum", "Together, "+g.currency.Code))
	row := func(of review.Split) []figure {
		var cells []figure
		for _, th := range themes {
			if m, there := of[th]; there {
				cells = append(cells, g.cause(m))
			} else {
				cells = append(cells, figure{})
			}
		}
		return append(cells, g.cause(of.Sum()))
	}
	for i := range h.Stages {
		s := &h.Stages[i]
		href := g.toStage(h.Hull.Key, s.Stage.Key) + "#causes"
		t.add(append([]figure{{Value: s.Stage.Key, Text: g.stageName(s.Stage.Key), Href: href}}, row(s.Split)...)...)
	}
	t.foot(append([]figure{words("The hull")}, row(sum)...)...)
	return t
}

// inLumps reports whether an element comes ahead of the work.
func inLumps(c *forecast.Cell) bool {
	return c.Element == costing.Material || c.Element == costing.BoughtIn
}

// forecastTable shows every method of the forecast beside the others, and
// which was chosen.
func (g *ground) forecastTable(b *review.Books, h *review.Hull) *grid {
	t := g.table("forecast", "What the rest will take, by each method", col("stage", "Stage"), numCol("progress", "Progress"),
		numCol("at_estimate", "Labour and overhead at estimate, "+g.currency.Code), numCol("at_efficiency", "… at the efficiency so far"),
		numCol("in_lumps", "Material and bought-in not yet spent"), numCol("stated", "Stated by the estimator"), numCol("to_complete", "To complete, chosen"), numCol("low", "Least"), numCol("high", "Most"))
	var sum [7]costing.Money
	for i := range h.Stages {
		s := &h.Stages[i]
		row, chosen := g.methods(b, h.Hull.Key, s)
		cells := []figure{{Value: s.Stage.Key, Text: g.stageName(s.Stage.Key), Href: g.toStage(h.Hull.Key, s.Stage.Key) + "#forecast"}, part(s.Progress)}
		for j, m := range row {
			sum[j] += m
			cells = append(cells, g.cash(m))
		}
		if chosen == forecast.Stated {
			cells[5].Class, cells[5].Note = "chosen", "chosen"
		} else if chosen != "" && row[0] != row[1] {
			at := 2
			if chosen == forecast.AtEfficiency {
				at = 3
			}
			cells[at].Class, cells[at].Note = "chosen", "chosen"
		}
		t.add(cells...)
	}
	cells := []figure{words("The hull"), part(h.Progress())}
	for _, m := range sum {
		cells = append(cells, g.cash(m))
	}
	t.foot(cells...)
	return t
}

// methods are a stage's labour and overhead by the two methods, its material
// and parts, and what was chosen with its bounds.
func (g *ground) methods(b *review.Books, hull string, s *review.Stage) (row [7]costing.Money, chosen forecast.Method) {
	for i := range b.Cells {
		c := &b.Cells[i]
		if c.Hull != hull || c.Stage != s.Stage.Key {
			continue
		}
		row[3] += c.Methods[forecast.Stated]
		if c.Chosen == forecast.Stated {
			chosen = forecast.Stated
		}
		if inLumps(c) {
			row[2] += c.Methods[forecast.InLumps]
			continue
		}
		for j, m := range []forecast.Method{forecast.AtEstimate, forecast.AtEfficiency} {
			if v, there := c.Methods[m]; there {
				row[j] += v
			} else {
				row[j] += c.ToComplete()
			}
		}
		if !c.Apart && chosen != forecast.Stated {
			chosen = c.Chosen
		}
	}
	row[4], row[5], row[6] = s.ToComplete, s.Low, s.High
	return row, chosen
}

// jobsTable lists jobs with what they cost.
func (g *ground) jobsTable(id, caption string, b *review.Books, h *review.Hull, keep func(*costing.Job) bool) *grid {
	t := g.table(id, caption, col("job", "Job"), col("part", "What"), col("stage", "Stage"), col("purpose", "Purpose"),
		numCol("progress", "Stated done"), numCol("seconds", "Time, h"), numCol("cost", "Cost, "+g.currency.Code))
	t.Empty = "There is none."
	var seconds int64
	var cost costing.Money
	for _, j := range review.JobCosts(b, h.Hull.Key, keep) {
		seconds += j.Seconds
		cost += j.Cost
		t.add(words(j.Job.Key), words(j.Job.Part), figure{Value: j.Job.Stage, Text: g.stageName(j.Job.Stage), Href: g.toStage(h.Hull.Key, j.Job.Stage)},
			words(string(j.Job.Purpose)), percent(b.Stated[j.Job.Key]), hoursOf(j.Seconds),
			g.cash(j.Cost).to(g.toPostings(review.Target{Hull: h.Hull.Key, Job: j.Job.Key})))
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, figure{}, hoursOf(seconds), g.cash(cost))
	return t
}

// changesTable lists the change orders.
func (g *ground) changesTable(h *review.Hull) *grid {
	t := g.table("changes", "Change orders", col("change", "Change"), col("title", "What"), col("status", "Status"), numCol("price", "Price, "+g.currency.Code),
		numCol("estimate", "Estimate"), numCol("seconds", "Time, h"), numCol("cost", "Spent on it"), numCol("left", "Owed − spent"))
	t.Empty = "There are no change orders."
	for i := range h.Changes {
		c := &h.Changes[i]
		status := words(string(c.Status))
		owed := -c.Cost
		if c.Counts {
			owed += c.Price
			if c.AgreedOn != nil {
				status.Note = review.DayName(*c.AgreedOn)
			}
		} else if c.Cost != 0 {
			status.Class, status.Note = "loss", "built all the same"
		}
		left := g.cash(owed)
		if owed < 0 {
			left.Class = "adverse"
		}
		cost := g.cash(c.Cost)
		if len(c.Jobs) == 1 {
			cost.Href = g.toPostings(review.Target{Hull: h.Hull.Key, Job: c.Jobs[0].Job.Key})
		}
		t.add(words(c.Key), words(c.Title), status, g.cash(c.Price), g.cash(c.Estimate), hoursOf(c.Seconds), cost, left)
	}
	return t
}
