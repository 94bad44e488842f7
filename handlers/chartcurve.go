package handlers

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
)

// curveChart is cost by month: spent, earned and planned, and the forecast.
// Lengths across are shares of the width, heights are pixels.
type curveChart struct {
	Height, Base int // of the picture, and where nought stands
	Grid         []curveLine
	Months       []curveMonth
	Lines        []curvePath
	Dots         []curveDot
	Range        *curveRange
	Describes    string
}

type curveLine struct {
	Y    int
	Text string
}

type curveMonth struct{ X, Text, Anchor string }

// curvePath is a line through points in thousandths across and pixels down.
type curvePath struct{ Class, Points string }

// curveDot is the named end of a line.
type curveDot struct {
	X, Class, Text, Anchor string
	Y, TextY, DX           int
}

type curveRange struct {
	X         string
	Low, High int
}

const (
	curveTall = 300
	curveTop  = 24
	curveBase = 268
)

// curveScale turns days and amounts into places.
type curveScale struct {
	from, to costing.Date
	top      costing.Money
}

func (s *curveScale) x(d costing.Date) int64 {
	return permille(costing.Money(d-s.from), costing.Money(max(s.to-s.from, 1)))
}

func (s *curveScale) y(m costing.Money) int {
	return curveBase - int(permille(m, max(s.top, 1))*(curveBase-curveTop)/1000)
}

func (g *ground) curveChart(h *review.Hull, c *review.Curve) curveChart {
	chart := curveChart{Height: curveTall, Base: curveBase}
	now, known := c.Now()
	if !known {
		return chart
	}
	s := &curveScale{from: h.Hull.Signed, to: max(c.End, now.Day), top: max(h.High(), h.Estimate, now.Actual)}
	if first := c.Points[0].Day.Period().First(); first < s.from {
		s.from = first
	}
	step := niceStep(s.top, g.currency.Scale())
	for m := costing.Money(0); m <= s.top; m += step {
		chart.Grid = append(chart.Grid, curveLine{s.y(m), g.whole(m).Text})
	}
	chart.Months = curveMonths(s)
	spent, earned, plan := s.track("line-spent"), s.track("line-earned"), s.track("line-plan")
	spent.to(s.from, 0)
	earned.to(s.from, 0)
	if c.Planned {
		plan.to(max(h.Hull.Signed, s.from), 0)
		plan.to(*h.Hull.Due, h.Estimate)
		chart.Lines = append(chart.Lines, plan.curvePath)
		chart.dot(s, "plan", "planned", *h.Hull.Due, h.Estimate)
	}
	for _, p := range c.Points {
		if p.Past {
			spent.to(p.Day, p.Actual)
			earned.to(p.Day, p.Earned)
		}
	}
	chart.Lines = append(chart.Lines, earned.curvePath, spent.curvePath)
	chart.dot(s, "earned", "earned", now.Day, now.Earned)
	chart.dot(s, "spent", "spent", now.Day, now.Actual)
	chart.Describes = fmt.Sprintf("By %s %s was spent, and the work done was allowed %s.", review.DayName(now.Day),
		g.whole(now.Actual).Text, g.whole(now.Earned).Text)
	if h.ToComplete > 0 && c.End > now.Day {
		forecast := s.track("line-forecast")
		forecast.to(now.Day, now.Actual)
		forecast.to(c.End, h.AtCompletion)
		chart.Lines = append(chart.Lines, forecast.curvePath)
		chart.dot(s, "forecast", "forecast", c.End, h.AtCompletion)
		if h.High() > h.Low() {
			chart.Range = &curveRange{length(min(s.x(c.End), 996)), s.y(h.Low()), s.y(h.High())}
		}
		chart.Describes += fmt.Sprintf(" The forecast at completion is %s, by the methods between %s and %s.",
			g.whole(h.AtCompletion).Text, g.whole(h.Low()).Text, g.whole(h.High()).Text)
	}
	chart.apart()
	return chart
}

// apart moves the names of lines that end close together away from each other.
func (c *curveChart) apart() {
	order := make([]int, len(c.Dots))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return c.Dots[a].TextY - c.Dots[b].TextY })
	for i := 1; i < len(order); i++ {
		above, d := &c.Dots[order[i-1]], &c.Dots[order[i]]
		d.TextY = max(d.TextY, above.TextY+16)
	}
}

func (c *curveChart) dot(s *curveScale, class, text string, day costing.Date, m costing.Money) {
	x := s.x(day)
	d := curveDot{X: length(x), Y: s.y(m), TextY: s.y(m) - 8, Class: class, Text: text, Anchor: "end", DX: -7}
	if x < 200 {
		d.Anchor, d.DX = "start", 7
	}
	c.Dots = append(c.Dots, d)
}

// track is a line in the making.
type track struct {
	curvePath
	s *curveScale
}

func (s *curveScale) track(class string) *track { return &track{curvePath{Class: class}, s} }

func (p *track) to(d costing.Date, m costing.Money) {
	p.Points = strings.TrimSpace(p.Points + " " + strconv.FormatInt(p.s.x(d), 10) + "," + strconv.Itoa(p.s.y(m)))
}

// niceStep is 1, 2 or 5 with noughts, so that about four steps reach the top.
func niceStep(top costing.Money, scale int64) costing.Money {
	step := scale
	for i := 0; costing.Money(step)*5 < top; i++ {
		if i%3 == 1 {
			step = step / 2 * 5
		} else {
			step *= 2
		}
	}
	return costing.Money(step)
}

// curveMonths names at most seven months, so that there is room on a telephone.
func curveMonths(s *curveScale) []curveMonth {
	var all []costing.Period
	for p := s.from.Period(); p.First() <= s.to; p = p.Next() {
		if p.First() >= s.from {
			all = append(all, p)
		}
	}
	every := (len(all) + 6) / 7
	var list []curveMonth
	for i := 0; i < len(all); i += max(every, 1) {
		x := s.x(all[i].First())
		m := curveMonth{length(x), review.MonthName(all[i])[:3], "start"}
		if x > 930 {
			m.Anchor = "end"
		}
		list = append(list, m)
	}
	return list
}

// curveTable is the chart's table.
func (g *ground) curveTable(c *review.Curve) *grid {
	t := g.table("curve", "Cost by month, summed up", col("day", "Up to"), numCol("actual", "Spent, "+g.currency.Code),
		numCol("earned", "Earned"), numCol("plan", "Planned"), numCol("difference", "Spent − earned"))
	for _, p := range c.Points {
		row := []figure{day(p.Day), {}, {}, {}, {}}
		if p.Past {
			row[1], row[2], row[4] = g.cash(p.Actual), g.cash(p.Earned), g.cause(p.Actual-p.Earned)
		}
		if c.Planned {
			row[3] = g.cash(p.Plan)
		}
		t.add(row...)
	}
	return t
}
