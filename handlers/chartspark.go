package handlers

import (
	"fmt"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
)

// spark is a small line of a hull's margin from month end to month end, with
// its two ends in figures. Across are thousandths, down are pixels.
type spark struct {
	ID, Points, Zero, Describes string
	LastX                       string
	LastY                       int
	Height                      int
	First, Last                 sparkEnd
	Losing                      bool
}

type sparkEnd struct{ Month, Margin string }

const (
	sparkTall = 40
	sparkEdge = 4 // kept free above and below, so that the line is whole
)

// sparkOf draws a trend; nil where there is no way to speak of.
func (g *ground) sparkOf(hull string, trend []review.Standpoint) *spark {
	if len(trend) < 2 {
		return nil
	}
	low, high := trend[0].Margin.Margin, trend[0].Margin.Margin
	for i := range trend {
		low, high = min(low, trend[i].Margin.Margin), max(high, trend[i].Margin.Margin)
	}
	y := func(m costing.Money) int {
		return sparkTall - sparkEdge - int(permille(m-low, max(high-low, 1))*(sparkTall-2*sparkEdge)/1000)
	}
	first, last := &trend[0], &trend[len(trend)-1]
	from, to := int64(first.Day), int64(last.Day)
	s := &spark{ID: hull, Height: sparkTall, Losing: last.Margin.Margin < 0}
	var points []string
	for i := range trend {
		x := permille(costing.Money(int64(trend[i].Day)-from), costing.Money(max(to-from, 1)))
		points = append(points, strconv.FormatInt(x, 10)+","+strconv.Itoa(y(trend[i].Margin.Margin)))
	}
	s.Points, s.LastX, s.LastY = strings.Join(points, " "), "100%", y(last.Margin.Margin)
	if low < 0 && high > 0 {
		s.Zero = strconv.Itoa(y(0))
	}
	end := func(p *review.Standpoint) sparkEnd {
		return sparkEnd{review.MonthName(p.Day.Period())[:3] + " " + p.Day.String()[2:4], review.Whole(g.currency, p.Margin.Margin)}
	}
	s.First, s.Last = end(first), end(last)
	s.Describes = fmt.Sprintf("Forecast margin at %d month ends: %s on %s, lowest %s, highest %s, now %s %s.", len(trend),
		s.First.Margin, review.DayName(first.Day), review.Whole(g.currency, low), review.Whole(g.currency, high), s.Last.Margin, g.currency.Code)
	return s
}

// trendTable is a hull's margin month by month.
func (g *ground) trendTable(trend []review.Standpoint) *grid {
	code := ", " + g.currency.Code
	t := g.table("trend", "The forecast month by month", col("day", "At the end of"), numCol("progress", "Progress"), numCol("price", "Price with changes"+code),
		numCol("estimate", "Estimate"), numCol("actual", "Actual"), numCol("to_complete", "To complete"), numCol("at_completion", "At completion"),
		numCol("margin", "Margin"), numCol("moved", "Moved by"))
	t.Empty = "Nothing has happened yet."
	for i := range trend {
		p := &trend[i]
		moved := figure{}
		if i > 0 {
			moved = g.gained(p.Margin.Margin - trend[i-1].Margin.Margin)
		}
		margin := g.cash(p.Margin.Margin)
		if p.Margin.Margin < 0 {
			margin.Class = "loss"
		}
		t.add(day(p.Day), part(p.Progress()), g.cash(p.Price+p.Changes), g.cash(p.Estimate), g.cash(p.Actual), g.cash(p.ToComplete),
			g.cash(p.AtCompletion), margin, moved)
	}
	return t
}

// gained is an amount that is good above nought.
func (g *ground) gained(m costing.Money) figure {
	f := g.cash(m)
	switch {
	case m > 0:
		f.Text, f.Class = "+"+f.Text, "kind"
	case m < 0:
		f.Class = "adverse"
	default:
		f.Class = "nil"
	}
	return f
}

// sayingsTable looks back on what was forecast; the hulls' names stand before
// where there are several.
func (g *ground) sayingsTable(caption string, hulls []*review.Hull) *grid {
	code := ", " + g.currency.Code
	t := g.table("forecasts", caption, col("hull", "Hull"), numCol("done", "Work done"), col("day", "At the end of"),
		numCol("said", "Cost foreseen"+code), numCol("became", "What it became"), numCol("miss", "Foreseen too low by"), numCol("share", "In parts of it"), col("so_far", "So far or for good"))
	t.Empty = "No hull has come a quarter of its way yet."
	for _, h := range hulls {
		list := review.Sayings(g.trends[h.Hull.Key])
		for i := range list {
			s := &list[i]
			state := "so far"
			if s.Done {
				state = "for good"
			}
			t.add(figure{Value: h.Hull.Key, Text: nameOf(h.Hull), Href: g.toHull(h.Hull.Key)}, percent(s.Percent), day(s.Day),
				g.cash(s.AtCompletion), g.cash(s.Became), g.cause(s.Miss()), part(s.Share()), words(state))
		}
	}
	return t
}

// trendOf is a hull's margin from month end to month end.
func (g *ground) trendOf(b *review.Books, h *review.Hull) ([]review.Standpoint, error) {
	if list, known := g.trends[h.Hull.Key]; known {
		return list, nil
	}
	statements, err := g.stated(h.Hull.Key)
	if err != nil {
		return nil, err
	}
	list, err := h.Trend(b, statements)
	g.trends[h.Hull.Key] = list
	return list, err
}
