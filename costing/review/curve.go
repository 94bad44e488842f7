package review

import (
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Statement is a progress that somebody stated of a job.
type Statement struct {
	Job     string
	At      costing.Instant
	Percent int
}

// Point is where a hull stood at the end of a day: all are sums up to it.
type Point struct {
	Day    costing.Date
	Actual costing.Money // spent
	Earned costing.Money // what the work done by then is allowed
	Plan   costing.Money
	Past   bool // Actual and Earned are known
}

// Curve is a hull's cost by month.
type Curve struct {
	Points  []Point
	Planned bool // there is a delivery date to plan towards
	// End is the day the forecast is drawn to: the delivery date, or a month on
	// where that has passed.
	End costing.Date
}

// Curve adds a hull's cost up month by month, beside what the work done was
// allowed. No dated plan is kept, so the plan is the estimate spread evenly
// over the days from signing to delivery. Statements are in order.
func (h *Hull) Curve(b *Books, statements []Statement) (Curve, error) {
	c := Curve{Planned: h.Hull.Due != nil && *h.Hull.Due > h.Hull.Signed}
	byMonth := map[costing.Period]costing.Money{}
	first := h.Hull.Signed.Period()
	for k, s := range b.Totals.Cells {
		if k.Hull == h.Hull.Key && s.Amount != 0 {
			byMonth[k.Period] += s.Amount
			first = min(first, k.Period)
		}
	}
	last := b.Day
	if c.Planned {
		last = max(last, *h.Hull.Due)
	}
	c.End = last
	if h.ToComplete != 0 && last == b.Day {
		c.End = b.Day + 30
	}
	yard := *b.Yard
	yard.Estimate = b.linesOf(h.Hull.Key)
	var actual costing.Money
	for p := first; p.First() <= last; p = p.Next() {
		if p.First() <= b.Day {
			actual += byMonth[p]
		}
		end := p.Next().First() - 1
		if p == b.Day.Period() && b.Day < end {
			end = b.Day
		}
		point := Point{Day: min(end, last), Past: end <= b.Day, Plan: h.planned(end)}
		if point.Past {
			point.Actual = actual
			var err error
			if point.Earned, err = earned(&yard, h.Hull.Key, end, statements); err != nil {
				return c, err
			}
		}
		c.Points = append(c.Points, point)
		if end == b.Day && p.Next().First()-1 > end && end < last { // the rest of the month is to come
			rest := min(p.Next().First()-1, last)
			c.Points = append(c.Points, Point{Day: rest, Plan: h.planned(rest)})
		}
	}
	return c, nil
}

// planned is the plan's cost up to a day.
func (h *Hull) planned(day costing.Date) costing.Money {
	if h.Hull.Due == nil || *h.Hull.Due <= h.Hull.Signed || day <= h.Hull.Signed {
		return 0
	}
	days, all := int64(day-h.Hull.Signed), int64(*h.Hull.Due-h.Hull.Signed)
	if days >= all {
		return h.Estimate
	}
	m, err := costing.MulRound(int64(h.Estimate), days, all)
	if err != nil {
		return 0
	}
	return costing.Money(m)
}

// earned is what the work stated by the end of a day is allowed, by the
// estimate as it was agreed then.
func earned(y *costing.Yard, hull string, day costing.Date, statements []Statement) (sum costing.Money, err error) {
	plan, stated := estimate.Build(y, day), StatedBy(statements, (day+1).At(0, y.Zone))
	progress := map[string]*big.Rat{}
	for k, row := range plan.Rows {
		if k.Hull != hull {
			continue
		}
		if progress[k.Stage] == nil {
			progress[k.Stage] = plan.Stage(costing.HullStage{Hull: hull, Stage: k.Stage}, stated)
		}
		m, err := worth(row, progress[k.Stage])
		if err != nil {
			return 0, err
		}
		sum += m
	}
	return sum, nil
}

// StatedBy is what jobs had stated before an instant, from statements in order.
func StatedBy(statements []Statement, before costing.Instant) estimate.Progress {
	p := estimate.Progress{}
	for _, s := range statements {
		if s.At >= before {
			break
		}
		p[s.Job] = s.Percent
	}
	return p
}

// Now is the last point that is known.
func (c *Curve) Now() (Point, bool) {
	i := slices.IndexFunc(c.Points, func(p Point) bool { return !p.Past })
	if i < 0 {
		i = len(c.Points)
	}
	if i == 0 {
		return Point{}, false
	}
	return c.Points[i-1], true
}
