package handlers

import (
	"maps"
	"net/url"
	"slices"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/costing/revise"
	"hulltally/models"
)

// estimatesPage lists every hull with the states of its estimate.
func (s *Server) estimatesPage(v *Visit) error { return s.owned(v, estimatesPage) }

func estimatesPage(g *ground) (*ownedPage, error) {
	rows, err := g.tx.Revisions(g.ctx, "")
	if err != nil {
		return nil, err
	}
	base, err := g.tx.Baselines(g.ctx)
	if err != nil {
		return nil, err
	}
	last := map[string]models.RevisionRow{}
	for _, r := range rows {
		last[r.Hull] = r
	}
	keys := map[string]bool{}
	for k := range g.yard.Hulls {
		keys[k] = true
	}
	for k := range last {
		keys[k] = true
	}
	t := g.table("estimates", "Estimates", col("hull", "Hull"), col("model", "Model"), col("state", "State"), numCol("revisions", "Revisions"),
		numCol("price", "Price, "+g.currency.Code), numCol("estimate", "Estimate"), numCol("margin", "Margin"), numCol("share", "Share"))
	t.Empty = "Nobody has estimated a hull yet: begin one below."
	for _, hull := range slices.Sorted(maps.Keys(keys)) {
		r, state, err := g.revisionOf(hull, "")
		if err != nil {
			return nil, err
		}
		p, err := revise.Price(g.yard, r)
		if err != nil {
			return nil, err
		}
		said := words("open, " + which(state))
		if b, there := base[hull]; there {
			said = figure{Value: "signed", Text: "signed on revision " + strconv.Itoa(b.Revision), Note: string(b.Frozen)}
		} else if h := g.yard.Hulls[hull]; h != nil && h.Signed <= g.figures.Day {
			said = figure{Value: "books", Text: "from files, not frozen"}
		}
		margin := g.cash(p.Margin.Margin)
		if p.Margin.Margin < 0 {
			margin.Class = "loss"
		}
		name := hull
		if h := g.yard.Hulls[hull]; h != nil {
			name = nameOf(h)
		}
		t.add(figure{Value: hull, Text: name, Href: g.toEstimate(hull)}, words(r.Model), said, count(last[hull].Revision), g.cash(p.Price), g.cash(p.Estimate),
			margin, part(p.Share()))
	}
	return &ownedPage{"estimates.html", "Estimates", map[string]any{"AsOf": g.asOf(), "Table": t, "May": mayEstimate(g.visit)}}, nil
}

func count(n int) figure { return figure{Value: strconv.Itoa(n), Text: strconv.Itoa(n)} }

// makers enter estimates and change orders; a bookkeeper reads them.
var makers = Roles{models.Estimator, models.Owner}

func mayEstimate(v *Visit) bool { return makers.allow(v.Caller.Role) }

func (g *ground) toEstimate(hull string, query ...string) string {
	return g.link("/estimate/"+url.PathEscape(hull), query...)
}

// estimatePage is one state of a hull's estimate, and the list of all.
func (s *Server) estimatePage(v *Visit) error { return s.owned(v, estimatePage) }

func estimatePage(g *ground) (*ownedPage, error) {
	hull := g.visit.Param("hull")
	r, state, err := g.revisionOf(hull, g.query.Get("revision"))
	if err != nil {
		return nil, err
	}
	p, err := revise.Price(g.yard, r)
	if err != nil {
		return nil, err
	}
	rows, err := g.tx.Revisions(g.ctx, hull)
	if err != nil {
		return nil, err
	}
	base, err := g.tx.Baselines(g.ctx)
	if err != nil {
		return nil, err
	}
	h := g.yard.Hulls[hull]
	signed := base[hull]
	may := mayEstimate(g.visit)
	return &ownedPage{"estimate.html", "Estimate of " + hull, map[string]any{
		"AsOf": g.asOf("revision"), "Hull": hull, "State": which(state), "Which": state, "Basis": r.Basis, "Model": r.Model, "Day": r.Day.String(),
		"Price": g.cash(p.Price), "Estimate": g.cash(p.Estimate), "Margin": g.cash(p.Margin.Margin), "Share": part(p.Share()), "Loss": p.Margin.Margin < 0,
		"Lines": g.linesTable(p), "Revisions": g.revisionsTable(hull, rows, signed, h != nil), "Signed": signed, "Frozen": signed.Hull != "",
		"InYard": h != nil, "May": may, "MayFreeze": may && h != nil && signed.Hull == "" && h.Signed <= g.figures.Day,
		"MaySign": may && h == nil && state != inBooks, "States": states(rows, h != nil), "Here": "/estimate/" + url.PathEscape(hull),
		"Today": g.figures.Day.String(), "Board": g.link("/estimates"),
	}}, nil
}

// states are the names of a hull's states, the newest first.
func states(rows []models.RevisionRow, books bool) []string {
	var list []string
	for _, r := range slices.Backward(rows) {
		list = append(list, strconv.Itoa(r.Revision))
	}
	if books {
		list = append(list, inBooks)
	}
	return list
}

func (g *ground) revisionsTable(hull string, rows []models.RevisionRow, signed models.BaselineRow, books bool) *grid {
	t := g.table("revisions", "Every state of this estimate", col("revision", "Revision"), col("basis", "Made from"), col("made", "When"), col("who", "By"),
		numCol("price", "Price"), col("currency", "In"), numCol("rate", "Rate"))
	t.Empty = "No revision is kept yet."
	for _, r := range slices.Backward(rows) {
		n := count(r.Revision).to(g.toEstimate(hull, "revision", strconv.Itoa(r.Revision)))
		if signed.Hull != "" && r.Revision == signed.Revision {
			n.Note = "signed on " + string(signed.Frozen)
		}
		t.add(n, words(r.Basis), figure{Value: r.MadeMs.String(), Text: r.MadeMs.Time().Format("2006-01-02 15:04") + " UTC"}, words(r.Who),
			decimal(int64(r.Price)), words(r.PriceCurrency), decimal(int64(r.PriceRate)))
	}
	if books {
		t.add(figure{Value: inBooks, Text: "in the books", Href: g.toEstimate(hull, "revision", inBooks)}, words("estimate.csv and what was signed"),
			figure{}, figure{}, figure{}, figure{}, figure{})
	}
	return t
}

// decimal is a plain number in millionths.
func decimal(v int64) figure {
	text := costing.FormatDecimal(v)
	return figure{Value: text, Text: review.People(text)}
}

// linesTable has every line with its cost, and sums that are the report's.
func (g *ground) linesTable(p *revise.Priced) *grid {
	t := g.table("lines", "Lines, in the order of the build", col("stage", "Stage"), col("job", "Job"), col("part", "Part"), col("element", "Element"), col("key", "Of what"),
		numCol("quantity", "Hours or net quantity"), numCol("waste", "Waste allowed"), numCol("rate", "Rate or price, "+g.currency.Code), numCol("cost", "Cost"))
	t.Empty = "This state has no lines."
	for i := range p.Lines {
		l := &p.Lines[i]
		t.add(figure{Value: l.Stage, Text: g.stageName(l.Stage)}, words(l.Job), words(l.Part), words(string(l.Element)), words(l.Key),
			g.lineQuantity(l), g.lineWaste(l.Element, l.Waste), lineRate(l), g.cash(l.Cost))
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, figure{}, figure{}, figure{}, figure{}, g.cash(p.Estimate))
	return t
}

// lineQuantity is hours, or a quantity in the item's unit.
func (g *ground) lineQuantity(l *revise.PricedLine) figure {
	switch l.Element {
	case costing.Labour:
		f := amountOf(l.Own, "")
		f.Note = "h"
		return f
	case costing.Material:
		var unit costing.Unit
		if it := g.yard.Items[l.Key]; it != nil {
			unit = it.StockUnit
		}
		return amountOf(l.Own, unit)
	case costing.BoughtIn:
		if l.Own != costing.Million {
			return amountOf(l.Own, "")
		}
	case costing.Overhead:
	}
	return figure{}
}

func (g *ground) lineWaste(el costing.Element, w costing.Share) figure {
	if el != costing.Material {
		return figure{}
	}
	return percentOfShare(w)
}

func lineRate(l *revise.PricedLine) figure {
	if l.Element == costing.Overhead {
		return figure{}
	}
	return decimal(int64(l.Rate))
}

// percentOfShare is a share in per cent, exact.
func percentOfShare(s costing.Share) figure {
	return figure{Value: costing.FormatDecimal(int64(s)), Text: review.People(costing.FormatDecimal(int64(s)*100)) + "\u202f%"}
}
