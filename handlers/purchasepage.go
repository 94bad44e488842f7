package handlers

import (
	"hulltally/costing"
	"hulltally/models"
)

// purchasePage is one purchase document with all its lines.
func (s *Server) purchasePage(v *Visit) error { return s.owned(v, purchasePage) }

func purchasePage(g *ground) (*ownedPage, error) {
	document := g.query.Get("document")
	t := g.table("lines", "Lines charged to hulls", col("description", "What"), col("date", "Date"), col("hull", "Hull"), col("stage", "Stage"),
		col("purpose", "Purpose"), numCol("amount", "Amount, "+g.currency.Code))
	var sum costing.Money
	for i := range g.yard.Bought {
		l := &g.yard.Bought[i]
		if l.Document != document || l.Date > g.figures.Day {
			continue
		}
		sum += l.Amount
		t.add(words(l.Description), day(l.Date),
			figure{Value: l.Hull, Text: l.Hull, Href: g.toHull(l.Hull)},
			figure{Value: l.Stage, Text: g.stageName(l.Stage), Href: g.toStage(l.Hull, l.Stage)}, words(string(l.Purpose)), g.cash(l.Amount))
	}
	if len(t.Rows) == 0 {
		return nil, models.Errorf(models.NotFound, "there is no purchase %.60q", document)
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, figure{}, g.cash(sum))
	return &ownedPage{"purchase.html", "Purchase " + document, map[string]any{
		"AsOf": g.asOf("document"), "Board": g.link("/board"), "Document": document, "Table": t,
	}}, nil
}
