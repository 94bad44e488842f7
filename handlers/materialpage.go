package handlers

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/material"
	"hulltally/costing/review"
	"hulltally/models"
)

// materialPage is where a yard looks after its material: what asks for a look,
// and what the last hulls suggest for the next estimate.
func (s *Server) materialPage(v *Visit) error { return s.owned(v, materialPage) }

func materialPage(g *ground) (*ownedPage, error) {
	b, err := g.figures.Material()
	if err != nil {
		return nil, err
	}
	laminates, err := g.figures.Laminates()
	if err != nil {
		return nil, err
	}
	p := &sections{AsOf: g.asOf(), Links: []figure{{Text: "What to order, by week", Href: g.link("/order")}}}
	if tracers.allow(g.visit.Caller.Role) {
		p.Look = &look{}
	}
	asks := section{ID: "asks", Title: "Questions", Note: mixNote}
	for i := range laminates {
		if l := &laminates[i]; l.Ask.Asks() {
			hull := l.Job.Shares[0].Hull
			asks.Says = append(asks.Says, []figure{
				{Text: hullsOf(l.Job) + ", " + jobName(l.Job), Href: g.under(hull, "mass") + "#fractions"},
				{Text: ": " + part(l.ByMass).Text + " fibre by mass; " + l.Ask.Says()},
			})
		}
	}
	for i := range b.Mixes {
		if m := &b.Mixes[i]; m.Asks {
			asks.Says = append(asks.Says, []figure{
				{Text: m.Hull + ", " + jobName(g.yard.Jobs[m.Job]), Href: g.under(m.Hull, "material") + "#mixes"},
				{Text: ": " + mixSays(m) + mixParts(m)},
			})
		}
	}
	if len(asks.Says) == 0 {
		asks.Note = "No laminate and no mix asks for a look."
	}
	p.Sections = append(p.Sections, asks)
	if g.seesMoney() {
		p.Sections = append(p.Sections, section{ID: "factors", Title: "Factors for the next estimate", Tables: []*grid{g.factorsTable(b)}, Note: factorNote})
	}
	p.Sections = append(p.Sections, section{ID: "hulls", Title: "Hulls", Tables: []*grid{g.hullsTable()}})
	return p.page("Material"), nil
}

func mixParts(m *material.Mix) string {
	if m.Achieved == nil || m.Stated == nil {
		return ""
	}
	return ": " + m.Achieved.FloatString(1) + " parts by weight per 100, stated are " + m.Stated.FloatString(1)
}

// factorsTable is what the last hulls suggest for resin, fibre and core.
func (g *ground) factorsTable(b *material.Books) *grid {
	t := g.table("factors", "Waste factor of net that the last hulls suggest", col("item", "Item"), col("stage", "Stage"), col("basis", "By"),
		numCol("allowed", "Allowed"), numCol("suggested", "Suggested"), numCol("median", "Median"), numCol("low", "Least"), numCol("high", "Most"),
		numCol("hulls", "Hulls"), col("enough", "Enough to go by"))
	t.Empty = "No job that drew resin, fibre or core has been stated done yet."
	for _, f := range b.Factors() {
		it := g.yard.Items[f.Item]
		if !material.Resins.Of(it) && !material.Fibres.Of(it) && !material.Cores.Of(it) {
			continue
		}
		basis := figure{Value: string(f.Basis), Text: "waste that is known"}
		if f.Basis == material.OfDrawn {
			basis.Text = "all that was drawn"
		}
		enough := figure{Value: yesNo(f.Enough), Text: "yes"}
		if !f.Enough {
			enough.Text, enough.Class = "no, too few hulls", "adverse"
		}
		t.add(g.itemFigure(f.Item), figure{Value: f.Stage, Text: g.stageName(f.Stage)}, basis, part(f.Allowed), part(f.Mean), part(f.Median), part(f.Low),
			part(f.High), words(itoa(int64(len(f.Hulls)))), enough)
	}
	return t
}

// hullsTable leads to what is said of each hull's material.
func (g *ground) hullsTable() *grid {
	t := g.table("hulls", "Hulls", col("hull", "Hull"), col("material", "Resin, fibre and core"), col("mass", "Mass and fractions"), col("batches", "Batches"))
	for _, key := range slices.Sorted(maps.Keys(g.yard.Hulls)) {
		cells := []figure{{Value: key, Text: nameOf(g.yard.Hulls[key])}}
		links := g.materialLinks(key)
		cells = append(cells, links...)
		if len(links) == 2 {
			cells = append(cells, figure{})
		}
		t.add(cells...)
	}
	return t
}

// hullMaterialPage is a hull's resin, fibre and core by stage.
func (s *Server) hullMaterialPage(v *Visit) error { return s.owned(v, hullMaterialPage) }

func hullMaterialPage(g *ground) (*ownedPage, error) {
	hull := g.visit.Param("hull")
	if g.yard.Hulls[hull] == nil {
		return nil, models.Errorf(models.NotFound, "there is no hull %.60q", hull)
	}
	b, err := g.figures.Material()
	if err != nil {
		return nil, err
	}
	p := &sections{Trail: g.hullTrail(hull), AsOf: g.asOf(), Links: g.materialLinks(hull)[1:]}
	titles := map[material.Group]string{material.Resins: "Resin and hardener", material.Fibres: "Fibre", material.Cores: "Core"}
	for _, group := range material.Groups {
		sec := section{ID: string(group), Title: titles[group], Tables: []*grid{g.usesTable(b, hull, group, titles[group])}, Note: useNote}
		p.Sections = append(p.Sections, sec)
	}
	p.Sections = append(p.Sections, section{ID: "mixes", Title: "Mixes", Tables: []*grid{g.mixesTable(b, hull)}, Note: mixNote})
	if a := reportsFor["cutting"]; a.whole.allow(g.visit.Caller.Role) || a.plain.allow(g.visit.Caller.Role) {
		cuts, err := g.tx.Cuts(g.ctx, g.figures)
		if err != nil {
			return nil, err
		}
		p.Sections = append(p.Sections, section{
			ID: "cutting", Title: "Offcuts by job and cutter", Tables: []*grid{g.cutsTable(cuts, hull)},
			Note: cutNote + " Jobs shared with other hulls are shown whole.",
		})
	}
	return p.page("Material, " + nameOf(g.yard.Hulls[hull])), nil
}

// usesTable is a group of materials by stage.
func (g *ground) usesTable(b *material.Books, hull string, group material.Group, caption string) *grid {
	t := g.table(string(group), caption+" by stage", col("item", "Item"), col("stage", "Stage"), numCol("drawn", "Drawn"), numCol("net", "Net in the part"),
		numCol("waste", "Waste"), numCol("factor_allowed", "Factor allowed"), numCol("factor_achieved", "Factor achieved"), numCol("over", "Over what is allowed"))
	if g.seesMoney() {
		t.Columns = append(t.Columns, numCol("over_value", "That in "+g.currency.Code), numCol("cost", "Cost"))
	}
	t.Columns = append(t.Columns, col("known", "Known by"), numCol("estimate_net", "Net by the estimate"), numCol("expected_net", "… for the work done"),
		numCol("factor_drawn", "Drawn on that"))
	t.Empty = "None was planned or drawn."
	var value, cost costing.Money
	for i := range b.Stages {
		u := &b.Stages[i]
		it := g.yard.Items[u.Item]
		if u.Hull != hull || !group.Of(it) {
			continue
		}
		stage := figure{Value: u.Stage, Text: g.stageName(u.Stage), Href: g.open(g.toStage(hull, u.Stage))}
		if u.Purpose != costing.Build {
			stage.Note = string(u.Purpose)
		}
		over, worth := figure{}, figure{}
		if u.Achieved != nil && u.Allowed != nil {
			over, worth = amountOf(u.Over, it.StockUnit), g.cause(u.Value)
			value += u.Value
		}
		achieved := part(u.Achieved)
		if u.Achieved != nil && u.Allowed != nil && u.Achieved.Cmp(u.Allowed) > 0 {
			achieved.Class = "adverse"
		}
		cells := []figure{
			g.itemFigure(u.Item), stage, amountOf(u.Drawn, it.StockUnit), amountOf(u.Net, ""), amountOf(u.Waste, ""), part(u.Allowed), achieved, over,
		}
		if g.seesMoney() {
			cost += u.Cost
			cells = append(cells, worth, g.cash(u.Cost).to(g.toPostings(review.Target{
				Hull: hull, Stage: u.Stage, Element: costing.Material, Purpose: u.Purpose, Detail: u.Item,
			})))
		}
		t.add(append(cells, words(string(u.Known)), amountOf(u.Estimate, ""), amountOf(u.Expected, ""), part(u.ByEstimate))...)
	}
	if g.seesMoney() {
		foot := make([]figure, len(t.Columns))
		foot[0], foot[8], foot[9] = words("Together"), g.cause(value), g.cash(cost)
		t.foot(foot...)
	}
	return t
}

// mixesTable is hardener against resin, job by job.
func (g *ground) mixesTable(b *material.Books, hull string) *grid {
	t := g.table("mixes", "Hardener to resin by weight, by job", col("job", "Job"), numCol("parts_stated", "Stated, parts per 100"), numCol("parts_achieved", "Achieved"),
		numCol("off", "Off by"), col("question", "Question"), numCol("resin_kg", "Resin, kg"), numCol("hardener_kg", "Hardener, kg"), col("hardener", "Hardener"),
		col("stage", "Stage"))
	t.Empty = "No resin with a hardener was drawn."
	for i := range b.Mixes {
		m := &b.Mixes[i]
		if m.Hull != hull {
			continue
		}
		q := words(mixSays(m))
		if m.Asks {
			q.Class = "asks-look"
		}
		t.add(g.jobFigure(m.Job, review.Target{Hull: hull, Job: m.Job, Element: costing.Material}), decimals(m.Stated), decimals(m.Achieved), part(m.Off), q,
			amountOf(m.ResinKg, ""), amountOf(m.HardenerKg, ""), g.itemFigure(m.Hardener), figure{Value: m.Stage, Text: g.stageName(m.Stage)})
	}
	return t
}

// cutsTable is fibre and core by job and cutter.
func (g *ground) cutsTable(cuts []material.Cut, hull string) *grid {
	t := g.table("cutting", "Offcuts by job and cutter", col("job", "Job"), col("item", "Item"), col("worker", "Cutter"), numCol("lots", "Lots"), numCol("plies", "Plies"),
		numCol("issued", "Issued"), numCol("returned", "Put back"), numCol("waste", "Waste measured"), numCol("offcut_share", "Offcut share"),
		numCol("job_share", "… of the job"))
	t.Empty = "No fibre or core was drawn."
	for i := range cuts {
		c := &cuts[i]
		if !slices.ContainsFunc(c.Job.Shares, func(s costing.ShareOf) bool { return s.Hull == hull }) {
			continue
		}
		plies := figure{}
		if c.Plies > 0 {
			plies = words(itoa(int64(c.Plies)))
		}
		t.add(g.jobFigure(c.Job.Key, review.Target{Hull: hull, Job: c.Job.Key, Element: costing.Material}), g.itemFigure(c.Item), g.workerFigure(c.Worker),
			words(itoa(int64(c.Lots))), plies, amountOf(c.Issued, g.yard.Items[c.Item].StockUnit), amountOf(c.Returned, ""), amountOf(c.Waste, ""), part(c.Share),
			part(c.JobShare))
	}
	return t
}
