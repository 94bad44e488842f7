package handlers

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/review"
)

// gradesTable is the stage's labour by grade.
func (g *ground) gradesTable(b *review.Books, h *review.Hull, stage string) *grid {
	grades := map[string]costing.Sums{}
	for k, s := range b.Totals.Fine {
		if job := g.yard.Jobs[k.Job]; k.Hull == h.Hull.Key && k.Element == costing.Labour && job != nil && job.Stage == stage {
			grades[k.Detail] = grades[k.Detail].Plus(s)
		}
	}
	t := g.table("grades", "Labour by grade", col("grade", "Grade"), numCol("seconds", "Time, h"), numCol("cost", "Cost, "+g.currency.Code))
	t.Empty = "Nobody has worked on it yet."
	var sum costing.Sums
	for _, grade := range slices.Sorted(maps.Keys(grades)) {
		s := grades[grade]
		sum = sum.Plus(s)
		t.add(words(grade), hoursOf(s.Seconds),
			g.cash(s.Amount).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage, Element: costing.Labour, Detail: grade})))
	}
	t.foot(words("Together"), hoursOf(sum.Seconds), g.cash(sum.Amount).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage, Element: costing.Labour})))
	return t
}

// boughtTable is what was bought for the stage.
func (g *ground) boughtTable(h *review.Hull, stage string) *grid {
	t := g.table("bought", "Bought-in, by document", col("document", "Document"), col("date", "Date"), col("description", "What"),
		col("purpose", "Purpose"), numCol("amount", "Amount, "+g.currency.Code))
	t.Empty = "Nothing was bought for it."
	var sum costing.Money
	for i := range g.yard.Bought {
		l := &g.yard.Bought[i]
		if l.Hull != h.Hull.Key || l.Stage != stage || l.Date > g.figures.Day {
			continue
		}
		sum += l.Amount
		t.add(words(l.Document), day(l.Date), words(l.Description), words(string(l.Purpose)),
			g.cash(l.Amount).to(g.link("/purchase", "document", l.Document)))
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, g.cash(sum))
	return t
}
