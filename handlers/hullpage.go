package handlers

import (
	"hulltally/costing"
	"hulltally/costing/review"
)

// reason is a finding with its sentence.
type reason struct {
	Cost figure
	Why  []figure
}

// hullHead is the top of a hull's pages.
type hullHead struct {
	strip
	Price, Changes, Estimate, Actual, ToComplete, AtCompletion figure
	Signed, Due                                                string
	Low, High                                                  figure // at completion by the methods
	Range                                                      bool
}

// hullPage is one hull: how it stands, why, and all that it is made of.
func (s *Server) hullPage(v *Visit) error { return s.owned(v, hullPage) }

func hullPage(g *ground) (*ownedPage, error) {
	b, err := g.books()
	if err != nil {
		return nil, err
	}
	h, err := g.hull(b)
	if err != nil {
		return nil, err
	}
	labour, err := g.labourTable(h) // first: what it reads serves the sentences too
	if err != nil {
		return nil, err
	}
	reasons, rest, err := g.reasons(b, h)
	if err != nil {
		return nil, err
	}
	statements, err := g.stated(h.Hull.Key)
	if err != nil {
		return nil, err
	}
	curve, err := h.Curve(b, statements)
	if err != nil {
		return nil, err
	}
	mass, err := g.massTable(b, h.Hull.Key)
	if err != nil {
		return nil, err
	}
	trend, err := g.trendOf(b, h)
	if err != nil {
		return nil, err
	}
	br := h.Bridge()
	return &ownedPage{"hull.html", nameOf(h.Hull), map[string]any{
		"AsOf": g.asOf(), "Head": g.head(h), "Reasons": reasons, "Rest": rest, "Open": g.openChanges(h),
		"Bridge": g.bridgeChart(&br), "BridgeTable": g.bridgeTable(&br),
		"Stages": g.stagesTable(h), "Causes": g.causesTable(h),
		"Trend": g.trendTable(trend), "Spark": g.sparkOf(h.Hull.Key, trend), "Since": sinceOf(trend),
		"Sayings": g.sayingsTable("What was foreseen before, and what it became", []*review.Hull{h}),
		"Curve":   g.curveChart(h, &curve), "CurveTable": g.curveTable(&curve), "Planned": curve.Planned,
		"Forecast": g.forecastTable(b, h), "Labour": labour, "Material": g.materialTable(b, h, ""),
		"Rework":  g.jobsTable("rework", "Rework and warranty, by job", b, h, func(j *costing.Job) bool { return j.Purpose.Apart() }),
		"Changes": g.changesTable(h), "Mass": mass, "Also": g.materialLinks(h.Hull.Key), "Board": g.link("/board"),
	}}, nil
}

func (g *ground) head(h *review.Hull) hullHead {
	s := strip{
		Key: h.Hull.Key, Name: h.Hull.Name, Model: h.Hull.Model, Href: g.toHull(h.Hull.Key),
		Standing: h.Standing(), Says: standingSays[h.Standing()],
		Margin: g.whole(h.Margin.Margin), Share: part(h.Share()), Progress: part(h.Progress()), Bar: g.hullBar(h), Fall: g.signed(-h.Fall()),
	}
	head := hullHead{
		strip: s, Price: g.cash(h.Price), Changes: g.cash(h.Margin.Changes), Estimate: g.cash(h.Estimate),
		Actual: g.cash(h.Actual).to("#t-stages"), ToComplete: g.cash(h.ToComplete).to("#forecast"), AtCompletion: g.cash(h.AtCompletion),
		Signed: review.DayName(h.Hull.Signed), Low: g.whole(h.Low()), High: g.whole(h.High()), Range: h.Low() != h.High(),
	}
	if h.Hull.Due != nil {
		head.Due = review.DayName(*h.Hull.Due)
	}
	return head
}

// sinceOf is the day from which every month end forecasts a loss.
func sinceOf(trend []review.Standpoint) string {
	if day, ok := review.LosingSince(trend); ok {
		return review.DayName(day)
	}
	return ""
}

// mostReasons is how many causes a hull's page puts into words.
const mostReasons = 7

// reasons are the causes in words, and what all the others come to, kind ones
// and small ones together: the whole is the fall of the margin.
func (g *ground) reasons(b *review.Books, h *review.Hull) ([]reason, figure, error) {
	var list []reason
	rest := h.Fall()
	findings := h.Findings()
	for i := range findings {
		f := &findings[i]
		if i == mostReasons || !h.Notable(f) {
			break
		}
		said, err := g.say(b, h, f)
		if err != nil {
			return nil, figure{}, err
		}
		list = append(list, reason{g.signed(-f.Cost), said})
		rest -= f.Cost
	}
	return list, g.signed(-rest), nil
}

// openChange is work done on a change that nobody has agreed.
type openChange struct {
	Title, Status string
	Price         figure
	Jobs          []openJob
}

type openJob struct {
	Name    string
	Cost    figure
	Seconds figure
}

func (g *ground) openChanges(h *review.Hull) []openChange {
	var list []openChange
	for i := range h.Changes {
		c := &h.Changes[i]
		if c.Counts || c.Cost == 0 {
			continue
		}
		o := openChange{Title: c.Title, Status: string(c.Status), Price: g.cash(c.Price)}
		for _, j := range c.Jobs {
			o.Jobs = append(o.Jobs, openJob{
				jobName(j.Job), g.cash(j.Cost).to(g.toPostings(review.Target{Hull: h.Hull.Key, Job: j.Job.Key})), hoursOf(j.Seconds),
			})
		}
		list = append(list, o)
	}
	return list
}

func jobName(j *costing.Job) string {
	if j.Part == "" {
		return j.Key
	}
	return j.Part
}
