package handlers

import (
	"net/url"

	"hulltally/costing"
	"hulltally/costing/revise"
)

// comparePage sets two states of estimates side by side, line by line.
func (s *Server) comparePage(v *Visit) error { return s.owned(v, comparePage) }

func comparePage(g *ground) (*ownedPage, error) {
	hull := g.visit.Param("hull")
	var priced [2]*revise.Priced
	var names [2]string
	for i, name := range []string{"a", "b"} {
		h, state := parseState(g.query.Get(name), hull)
		r, state, err := g.revisionOf(h, state)
		if err != nil {
			return nil, err
		}
		if priced[i], err = revise.Price(g.yard, r); err != nil {
			return nil, err
		}
		names[i] = h + " " + which(state)
	}
	a, b := priced[0], priced[1]
	pairs := revise.Compare(a, b)
	return &ownedPage{"compare.html", "Compare " + names[0] + " with " + names[1], map[string]any{
		"AsOf": g.asOf("a", "b"), "A": names[0], "B": names[1], "Hull": hull, "Back": g.toEstimate(hull), "Board": g.link("/estimates"),
		"AskA": g.query.Get("a"), "AskB": g.query.Get("b"), "Here": "/estimate/" + url.PathEscape(hull) + "/compare",
		"Heads": g.headsTable(names, a, b), "Table": g.pairsTable(pairs, a, b), "Same": len(pairs) > 0 && revise.Sum(pairs) == 0,
	}}, nil
}

// headsTable compares what the two come to.
func (g *ground) headsTable(names [2]string, a, b *revise.Priced) *grid {
	t := g.table("totals", "What they come to", col("what", "What"), numCol("a", names[0]+", "+g.currency.Code), numCol("b", names[1]), numCol("difference", "Difference"))
	for _, row := range []struct {
		what string
		a, b costing.Money
	}{{"Price", a.Price, b.Price}, {"Estimate", a.Estimate, b.Estimate}, {"Margin", a.Margin.Margin, b.Margin.Margin}} {
		diff := g.cash(row.b - row.a)
		if row.b > row.a {
			diff.Text = "+" + diff.Text
		}
		t.add(words(row.what), g.cash(row.a), g.cash(row.b), diff)
	}
	return t
}

// pairsTable lists the lines that differ; those that don't are summed up.
func (g *ground) pairsTable(pairs []revise.Pair, a, b *revise.Priced) *grid {
	t := g.table("lines", "Lines that differ", col("stage", "Stage"), col("what", "Of what"), col("job", "Job"),
		numCol("quantity_a", "Quantity before"), numCol("quantity_b", "after"), numCol("waste_a", "Waste before"), numCol("waste_b", "after"),
		numCol("rate_a", "Rate before"), numCol("rate_b", "after"), numCol("cost_a", "Cost before, "+g.currency.Code), numCol("cost_b", "after"), numCol("difference", "Difference"))
	t.Empty = "No line differs."
	var same costing.Money
	n := 0
	for i := range pairs {
		p := pairs[i]
		if p.Same() {
			same += p.A.Cost
			n++
			continue
		}
		l := p.Line()
		cells := []figure{
			{Value: l.Stage, Text: g.stageName(l.Stage)},
			{Value: l.Key, Text: l.Key, Note: string(l.Element)},
			words(l.Job),
		}
		sides := []*revise.PricedLine{p.A, p.B}
		for _, of := range []func(*revise.PricedLine) figure{
			g.lineQuantity, func(l *revise.PricedLine) figure { return g.lineWaste(l.Element, l.Waste) }, lineRate,
			func(l *revise.PricedLine) figure { return g.cash(l.Cost) },
		} {
			for _, side := range sides {
				if side == nil {
					cells = append(cells, figure{Text: "–"})
				} else {
					cells = append(cells, of(side))
				}
			}
		}
		t.add(append(cells, g.cause(p.Cost()))...)
	}
	blank := []figure{{}, {}, {}, {}, {}, {}, {}, {}}
	if n > 0 {
		t.foot(append(append([]figure{words("Lines alike")}, blank...), g.cash(same), g.cash(same), g.cause(0))...)
	}
	t.foot(append(append([]figure{words("Together")}, blank...), g.cash(a.Estimate), g.cash(b.Estimate), g.cause(b.Estimate-a.Estimate))...)
	return t
}
