package handlers

import (
	"fmt"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/models"
)

// stageHullsPage is one stage over all hulls: what it took each time, and what
// that teaches the next.
func (s *Server) stageHullsPage(v *Visit) error { return s.owned(v, stageHullsPage) }

// lessonOf is a model's lesson with its chart.
type lessonOf struct {
	Model, Says string
	Chart       *learnChart
}

func stageHullsPage(g *ground) (*ownedPage, error) {
	key := g.visit.Param("stage")
	if g.yard.Stages[key] == nil {
		return nil, models.Errorf(models.NotFound, "there is no stage %.60q", key)
	}
	b, err := g.books()
	if err != nil {
		return nil, err
	}
	list, err := review.StageHulls(b, key)
	if err != nil {
		return nil, err
	}
	model := g.query.Get("model")
	if model != "" {
		var of []review.StageOf
		for i := range list {
			if list[i].Hull.Model == model {
				of = append(of, list[i])
			}
		}
		list = of
	}
	var lessons []lessonOf
	for _, l := range review.Lessons(list) {
		lessons = append(lessons, lessonOf{l.Model, l.Say(), learnChartOf(len(lessons), &l)})
	}
	type link struct {
		Text, Href string
		Here       bool
	}
	var stages []link
	for _, s := range g.stagesInOrder() {
		stages = append(stages, link{g.stageName(s.Key), g.link("/stage/"+pathEscape(s.Key), "model", model), s.Key == key})
	}
	return &ownedPage{"stage-hulls.html", g.stageName(key) + ", all hulls", map[string]any{
		"AsOf": g.asOf("model"), "Board": g.link("/board"), "Stage": g.stageName(key), "Model": model, "Lessons": lessons, "Stages": stages,
		"Table": g.stageHullsTable(key, list), "All": g.link("/stage/" + pathEscape(key)),
	}}, nil
}

func (g *ground) stageHullsTable(stage string, list []review.StageOf) *grid {
	code := ", " + g.currency.Code
	t := g.table("hulls", "Hull by hull, the build alone: without change orders, rework and warranty", col("hull", "Hull"), col("model", "Model"), col("signed", "Signed"),
		numCol("progress", "Progress"), numCol("standard_seconds", "Estimated, h"), numCol("seconds", "Worked, h"), numCol("ratio", "Worked of estimated"),
		numCol("estimate", "Estimate"+code), numCol("allowed", "Allowed so far"), numCol("actual", "Actual"), numCol("variance", "Actual − allowed"))
	t.Empty = "No hull has work or an estimate in this stage."
	var most, standard, seconds int64
	var sum [4]costing.Money
	for i := range list {
		most = max(most, list[i].Seconds)
	}
	for i := range list {
		s := &list[i]
		worked := hoursOf(s.Seconds).to(g.toPostings(review.Target{Hull: s.Hull.Key, Stage: stage, Element: costing.Labour, Purpose: costing.Build}))
		worked.Bar = percentOf(costing.Money(s.Seconds), costing.Money(most))
		t.add(figure{Value: s.Hull.Key, Text: nameOf(s.Hull), Href: g.toStage(s.Hull.Key, stage)}, words(s.Hull.Model), day(s.Hull.Signed), part(s.Progress),
			hoursOf(s.Standard), worked, part(ratioOf(s.Seconds, s.Standard)), g.cash(s.Estimate), g.cash(s.Allowed),
			g.cash(s.Actual).to(g.toPostings(review.Target{Hull: s.Hull.Key, Stage: stage, Purpose: costing.Build})), g.cause(s.Actual-s.Allowed))
		standard += s.Standard
		seconds += s.Seconds
		for j, m := range []costing.Money{s.Estimate, s.Allowed, s.Actual, s.Actual - s.Allowed} {
			sum[j] += m
		}
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, hoursOf(standard), hoursOf(seconds), part(ratioOf(seconds, standard)),
		g.cash(sum[0]), g.cash(sum[1]), g.cash(sum[2]), g.cause(sum[3]))
	return t
}

// learnChart is the hours of a model's finished hulls in order, and the curve
// where they carry one. Across are thousandths, down pixels.
type learnChart struct {
	ID, Height, Base int
	Dots             []learnDot
	Curve            string
	Range            *curveRange
	Top, Describes   string
}

type learnDot struct {
	X, Hull, Hours string
	Y              int
}

const (
	learnTall = 190
	learnTop  = 24
	learnBase = 160
)

func learnChartOf(id int, l *review.ModelLesson) *learnChart {
	if len(l.Hulls) < 2 {
		return nil
	}
	top := max(l.High, l.NextHigh)
	if l.Learned {
		top = max(top, l.Curve[0])
		top = min(top, 2*max(l.High, l.Curve[0])) // a wide interval does not press the hulls flat
	}
	slots := len(l.Hulls)
	if l.Learned {
		slots++
	}
	x := func(i int) int64 { return int64((2*i + 1) * 1000 / (2 * slots)) }
	y := func(seconds int64) int {
		return learnBase - int(permille(costing.Money(seconds), costing.Money(top))*(learnBase-learnTop)/1000)
	}
	c := &learnChart{ID: id, Height: learnTall, Base: learnBase, Top: review.HoursOf(l.High)}
	var said []string
	for i := range l.Hulls {
		h := &l.Hulls[i]
		c.Dots = append(c.Dots, learnDot{length(x(i)), h.Hull.Key, review.HoursOf(h.Seconds), y(h.Seconds)})
		said = append(said, h.Hull.Key+" "+review.HoursOf(h.Seconds)+" h")
	}
	c.Describes = "Hours of each finished hull in the order they were signed: " + strings.Join(said, ", ") + "."
	if l.Learned {
		var points []string
		for i, s := range l.Curve {
			points = append(points, strconv.FormatInt(x(i), 10)+","+strconv.Itoa(y(s)))
		}
		c.Curve = strings.Join(points, " ")
		c.Range = &curveRange{length(x(slots - 1)), y(l.NextLow), y(l.NextHigh)}
		c.Describes += fmt.Sprintf(" The curve through them comes to %s h for the next.", review.HoursOf(l.Next))
	}
	return c
}
