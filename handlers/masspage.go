package handlers

import (
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/mass"
	"hulltally/costing/review"
	"hulltally/models"
)

// hullMassPage is a hull's mass against its weight budget, what is unweighed,
// and the fibre fractions of its laminates.
func (s *Server) hullMassPage(v *Visit) error { return s.owned(v, hullMassPage) }

func hullMassPage(g *ground) (*ownedPage, error) {
	hull := g.visit.Param("hull")
	if g.yard.Hulls[hull] == nil {
		return nil, models.Errorf(models.NotFound, "there is no hull %.60q", hull)
	}
	built, err := g.massByStage(hull)
	if err != nil {
		return nil, err
	}
	laminates, err := g.figures.Laminates()
	if err != nil {
		return nil, err
	}
	fractions := section{
		ID: "fractions", Title: "Fibre fractions", Tables: []*grid{g.fractionsTable(laminates, hull), g.bandsTable()},
		Note: "Resin is with its hardener. Shares of fibre by what went into each job, waste taken off; by volume without voids, from the densities of the items. Thickness is what the estimate's plies " +
			"come to at that share: areal mass over 1000 × fibre density × share by volume.",
	}
	for i := range laminates {
		l := &laminates[i]
		if l.Ask.Asks() && jobOf(l.Job, hull) {
			fractions.Says = append(fractions.Says, []figure{{Text: jobName(l.Job) + ": " + part(l.ByMass).Text + " fibre by mass; " + l.Ask.Says()}})
		}
	}
	p := &sections{
		Trail: g.hullTrail(hull), AsOf: g.asOf(), Caution: mass.Caution, Links: g.materialLinks(hull)[:1],
		Sections: []section{
			{ID: "mass", Title: "Mass by stage", Tables: []*grid{built}},
			{
				ID: "unweighed", Title: "Without a weight", Tables: []*grid{g.unweighedTable(hull)},
				Note: "None of this counts in the mass above. Bought-in parts never have a weight here: weigh the boat.",
			},
			fractions,
		},
	}
	return p.page("Mass, " + nameOf(g.yard.Hulls[hull])), nil
}

func jobOf(j *costing.Job, hull string) bool {
	for _, s := range j.Shares {
		if s.Hull == hull {
			return true
		}
	}
	return false
}

// massByStage is the mass built in against the weight budget.
func (g *ground) massByStage(hull string) (*grid, error) {
	rows, err := costing.Mass(g.yard, g.figures.Totals)
	if err != nil {
		return nil, err
	}
	plan := g.figures.Plan()
	without := map[string]int{}
	for _, u := range g.figures.Unweighed() {
		if u.Hull == hull {
			without[u.Stage]++
		}
	}
	t := g.table("mass", "Mass built in against the weight budget", col("stage", "Stage"), numCol("done", "Stated done"), numCol("kg", "Built in, kg"),
		numCol("budget_kg", "Budget, kg"), numCol("left_kg", "Budget − built in"), numCol("fibre_fraction", "Fibre by mass"), numCol("unweighed", "Things unweighed"),
		col("says", "Reads as"))
	t.Empty = "Nothing that stays aboard was drawn, and there is no weight budget."
	var kg, budget costing.Quantity
	things := 0
	for i := range rows {
		r := &rows[i]
		if r.Hull != hull {
			continue
		}
		done := plan.Stage(r.HullStage, g.figures.Stated)
		cells := []figure{
			{Value: r.Stage, Text: g.stageName(r.Stage), Href: g.open(g.toStage(hull, r.Stage))},
			part(done), amountOf(r.Kg, ""),
			{},
			{},
			part(r.FibreFraction()), words(itoa(int64(without[r.Stage]))), massSays(r, done),
		}
		if r.Budgeted {
			cells[3], cells[4] = amountOf(r.Budget, ""), amountOf(r.Budget-r.Kg, "")
		}
		kg += r.Kg
		budget += r.Budget
		things += without[r.Stage]
		t.add(cells...)
	}
	t.foot(words("The hull"), figure{}, amountOf(kg, ""), amountOf(budget, ""), amountOf(budget-kg, ""), figure{}, words(itoa(int64(things))), figure{})
	return t, nil
}

// massSays puts a stage's mass against its budget into words.
func massSays(r *costing.MassRow, done *big.Rat) figure {
	switch {
	case !r.Budgeted:
		return words("no budget")
	case r.Kg > r.Budget:
		return figure{Value: "over", Text: "over its budget", Class: "adverse"}
	case done.Cmp(big.NewRat(1, 1)) >= 0:
		return words("done within it")
	}
	return words("still being built")
}

// unweighedTable is what is aboard without a weight.
func (g *ground) unweighedTable(hull string) *grid {
	t := g.table("unweighed", "Aboard without a weight", col("item", "Item"), col("stage", "Stage"), numCol("quantity", "Quantity"), col("unit", "Unit"))
	t.Empty = "Everything that was drawn has a weight, and no parts were bought in."
	for _, u := range g.figures.Unweighed() {
		if u.Hull != hull {
			continue
		}
		name, unit := figure{Text: "Bought-in parts"}, words("purchase lines")
		if it := g.yard.Items[u.Item]; it != nil {
			name, unit = g.itemFigure(u.Item), figure{Value: string(it.StockUnit), Text: review.UnitName(it.StockUnit)}
		}
		t.add(name, figure{Value: u.Stage, Text: g.stageName(u.Stage)}, amountOf(u.Quantity, ""), unit)
	}
	return t
}

// fractionsTable is the fibre fraction of each laminate against its band.
func (g *ground) fractionsTable(list []mass.Laminate, hull string) *grid {
	t := g.table("fractions", "Fibre fraction by job", col("job", "Job"), numCol("done", "Stated done"), numCol("fibre_kg", "Fibre, kg"),
		numCol("matrix_kg", "Resin, kg"), numCol("fibre_fraction", "Fibre by mass"), numCol("low", "Band from"), numCol("high", "to"), col("ask", "Reads as"),
		col("process", "Process"), numCol("volume_fraction", "Fibre by volume"), numCol("plies", "Plies"), numCol("thickness_mm", "Thickness, mm"))
	t.Empty = "No fibre was drawn."
	for i := range list {
		l := &list[i]
		if !jobOf(l.Job, hull) {
			continue
		}
		job := g.jobFigure(l.Job.Key, review.Target{Hull: hull, Job: l.Job.Key, Element: costing.Material})
		if len(l.Job.Shares) > 1 {
			job.Note = "whole, of " + hullsOf(l.Job)
		}
		process, low, high, plies, thick := figure{Text: "none named"}, figure{}, figure{}, figure{}, figure{}
		if l.Process != nil {
			process = figure{Value: l.Process.Key, Text: l.Process.Name}
			low, high = part(big.NewRat(int64(l.Process.Low), int64(costing.One))), part(big.NewRat(int64(l.Process.High), int64(costing.One)))
		}
		if l.Plies > 0 {
			plies = words(itoa(int64(l.Plies)))
		}
		if v, there := hundredths(l.Thickness).(string); there {
			thick = words(v)
		}
		ask := figure{Value: string(l.Ask), Text: "within the band"}
		switch {
		case l.Ask.Asks():
			ask.Text, ask.Class = "question", "asks-look"
		case l.Ask != mass.NoQuestion:
			ask.Text = map[mass.Ask]string{mass.NotDone: "not done yet", mass.NoProcess: "no process named"}[l.Ask]
		}
		t.add(job, percent(l.Done), amountOf(l.Fibre, ""), amountOf(l.Matrix, ""), part(l.ByMass), low, high, ask, process, part(l.ByVolume), plies, thick)
	}
	return t
}

// bandsTable lists the processes with their bands, and where those come from.
func (g *ground) bandsTable() *grid {
	t := g.table("bands", "Bands of the processes", col("process", "Process"), numCol("low", "Fibre by mass from"), numCol("high", "to"), col("source", "Source"))
	t.Empty = "No processes are named: give them in processes.csv, and each job its own."
	for _, key := range slices.Sorted(maps.Keys(g.yard.Processes)) {
		p := g.yard.Processes[key]
		t.add(figure{Value: key, Text: p.Name}, part(big.NewRat(int64(p.Low), int64(costing.One))), part(big.NewRat(int64(p.High), int64(costing.One))), words(p.Source))
	}
	return t
}

// decimals is a plain number with one decimal for people and four for programs.
func decimals(r *big.Rat) figure {
	if r == nil {
		return figure{}
	}
	v, _ := share(r).(string)
	return figure{Value: v, Text: r.FloatString(1)}
}
