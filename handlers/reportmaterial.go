package handlers

import (
	"math/big"
	"strings"

	"hulltally/costing"
	"hulltally/costing/mass"
	"hulltally/costing/material"
)

// useTable is the report of a group of materials: net in the part, drawn,
// waste and its factor against the factor allowed, by hull and stage.
func useTable(group material.Group) func(*asked) (*Table, error) {
	return func(a *asked) (*Table, error) {
		b, err := a.figures.Material()
		if err != nil {
			return nil, err
		}
		t := a.table(text("hull", "hull"), text("stage", "stage"), text("purpose", "purpose"), text("item", "item"), text("unit", "unit"),
			number("estimate_net", "estimate net"), number("expected_net", "expected net"), number("net", "net"), number("drawn", "drawn"),
			number("waste", "waste"), text("known", "known"), shareOf(number("factor_allowed", "factor allowed")),
			shareOf(number("factor_achieved", "factor achieved")), shareOf(number("factor_drawn", "factor drawn")), number("over", "over"),
			money("over_value", "over value"), money("cost", "cost"))
		t.Note = useNote
		for i := range b.Stages {
			u := &b.Stages[i]
			it := a.figures.Yard.Items[u.Item]
			if !a.wanted(u.Hull) || !group.Of(it) {
				continue
			}
			var over, value any
			if u.Achieved != nil && u.Allowed != nil {
				over, value = u.Over.String(), a.money(u.Value)
			}
			t.Rows = append(t.Rows, []any{
				u.Hull, u.Stage, string(u.Purpose), u.Item, string(it.StockUnit), u.Estimate.String(), u.Expected.String(), u.Net.String(),
				u.Drawn.String(), u.Waste.String(), string(u.Known), share(u.Allowed), share(u.Achieved), share(u.ByEstimate), over, value, a.money(u.Cost),
			})
		}
		return t, nil
	}
}

const useNote = "Factors are shares of net. Net is what was drawn less the waste weighed, or of factored items what was read; expected net is the estimate's " +
	"for the work stated done, and factor drawn sets all that was drawn against it. Over is what was drawn beyond net with the factor allowed."

// mixesTable is resin against hardener, by hull and job.
func mixesTable(a *asked) (*Table, error) {
	b, err := a.figures.Material()
	if err != nil {
		return nil, err
	}
	t := a.table(text("hull", "hull"), text("stage", "stage"), text("job", "job"), text("part", "part"), text("resins", "resins"),
		text("hardener", "hardener"), number("resin_kg", "resin kg"), number("hardener_kg", "hardener kg"), number("parts_stated", "parts stated"),
		number("parts_achieved", "parts achieved"), shareOf(number("off", "off")), text("question", "question"))
	t.Note = mixNote
	for i := range b.Mixes {
		m := &b.Mixes[i]
		if !a.wanted(m.Hull) {
			continue
		}
		t.Rows = append(t.Rows, []any{
			m.Hull, m.Stage, m.Job, a.part(m.Job), strings.Join(m.Resins, ";"), m.Hardener, m.ResinKg.String(), m.HardenerKg.String(),
			share(m.Stated), share(m.Achieved), share(m.Off), mixSays(m),
		})
	}
	return t, nil
}

const mixNote = "Parts are hardener by weight per 100 of resin, as drawn: what is left in a pot or catch-pot is mixed too. " +
	"More than 5 % off raises a question (common practice, no source); the resin maker's data sheet decides."

// mixSays puts a mix that raises a question into words.
func mixSays(m *material.Mix) string {
	switch {
	case !m.Asks:
		return ""
	case m.ResinKg <= 0:
		return "hardener without its resin: was a lot of resin not scanned?"
	case m.HardenerKg <= 0:
		return "resin without its hardener: was a lot of hardener not scanned?"
	case m.Off != nil && m.Off.Sign() > 0:
		return "more hardener than stated"
	}
	return "less hardener than stated"
}

// factorsTable is the waste factor that the last hulls suggest.
func factorsTable(a *asked) (*Table, error) {
	b, err := a.figures.Material()
	if err != nil {
		return nil, err
	}
	t := a.table(text("item", "item"), text("stage", "stage"), text("basis", "basis"), number("hulls", "hulls"), shareOf(number("suggested", "suggested")),
		shareOf(number("median", "median")), shareOf(number("low", "low")), shareOf(number("high", "high")), shareOf(number("allowed", "allowed")),
		text("enough", "enough"), text("seen", "seen"))
	t.Note = factorNote
	for _, f := range b.Factors() {
		seen := make([]string, len(f.Hulls))
		for i, s := range f.Hulls {
			seen[i] = s.Hull + " " + cell(share(s.Factor))
		}
		t.Rows = append(t.Rows, []any{
			f.Item, f.Stage, string(f.Basis), int64(len(f.Hulls)), share(f.Mean), share(f.Median), share(f.Low), share(f.High), share(f.Allowed),
			yesNo(f.Enough), strings.Join(seen, "; "),
		})
	}
	return t, nil
}

const factorNote = "Shares of net, weighted by net, over jobs stated done of the last five hulls signed that drew the item; fewer than three hulls are too few " +
	"to go by. Basis waste is the waste that is known; basis drawn is all that was drawn against the estimate's net, take-off with it."

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// part is what a job makes.
func (a *asked) part(job string) string {
	if j := a.figures.Yard.Jobs[job]; j != nil {
		return j.Part
	}
	return ""
}

// hullsOf names the hulls of a job.
func hullsOf(j *costing.Job) string {
	names := make([]string, len(j.Shares))
	for i, s := range j.Shares {
		names[i] = s.Hull
	}
	return strings.Join(names, ";")
}

// shares reports whether a job is of the hull asked for, if one is.
func (a *asked) shares(j *costing.Job) bool {
	return a.Hull == "" || strings.Contains(";"+hullsOf(j)+";", ";"+a.Hull+";")
}

const cutNote = "Offcut share is the waste that a cutter measured of what that cutter drew, returns taken off; job share is that of all who drew the item for the job. " +
	"They ask about nesting and roll widths, not about people: parts differ, and who weighs an offcut is often not who drew the roll."

// cuttingTable is fibre and core by job and cutter.
func cuttingTable(a *asked) (*Table, error) {
	cuts, err := a.tx.Cuts(a.ctx, a.figures)
	if err != nil {
		return nil, err
	}
	t := a.table(text("hulls", "hulls"), text("stage", "stage"), text("job", "job"), text("part", "part"), text("item", "item"), text("unit", "unit"),
		text("worker", "worker"), number("lots", "lots"), number("plies", "plies"), number("issued", "issued"), number("returned", "returned"),
		number("waste", "waste"), shareOf(number("offcut_share", "offcut share")), shareOf(number("job_share", "job share")))
	t.Note = cutNote
	for i := range cuts {
		c := &cuts[i]
		if !a.shares(c.Job) {
			continue
		}
		var plies any
		if c.Plies > 0 {
			plies = int64(c.Plies)
		}
		t.Rows = append(t.Rows, []any{
			hullsOf(c.Job), c.Job.Stage, c.Job.Key, c.Job.Part, c.Item, string(a.figures.Yard.Items[c.Item].StockUnit), c.Worker, int64(c.Lots), plies,
			c.Issued.String(), c.Returned.String(), c.Waste.String(), share(c.Share), share(c.JobShare),
		})
	}
	return t, nil
}

// laminatesTable is the fibre fraction of each laminate against its band.
func laminatesTable(a *asked) (*Table, error) {
	list, err := a.figures.Laminates()
	if err != nil {
		return nil, err
	}
	t := a.table(text("hulls", "hulls"), text("stage", "stage"), text("job", "job"), text("part", "part"), shareOf(number("done", "done")),
		number("fibre_kg", "fibre kg"), number("matrix_kg", "matrix kg"), shareOf(number("fibre_fraction", "fibre fraction")),
		shareOf(number("volume_fraction", "volume fraction")), text("process", "process"), shareOf(number("low", "low")), shareOf(number("high", "high")),
		number("plies", "plies"), number("thickness_mm", "thickness mm"), text("ask", "ask"), text("question", "question"), text("standing", "standing"))
	t.Note = mass.Caution
	for i := range list {
		l := &list[i]
		if !a.shares(l.Job) {
			continue
		}
		var process string
		var low, high, plies any
		if l.Process != nil {
			process, low, high = l.Process.Key, share(big.NewRat(int64(l.Process.Low), int64(costing.One))), share(big.NewRat(int64(l.Process.High), int64(costing.One)))
		}
		if l.Plies > 0 {
			plies = int64(l.Plies)
		}
		t.Rows = append(t.Rows, []any{
			hullsOf(l.Job), l.Job.Stage, l.Job.Key, l.Job.Part, share(big.NewRat(int64(l.Done), 100)), l.Fibre.String(), l.Matrix.String(), share(l.ByMass), share(l.ByVolume),
			process, low, high, plies, hundredths(l.Thickness), string(l.Ask), l.Ask.Says(), "no acceptance",
		})
	}
	return t, nil
}

// hundredths writes a fraction with two decimals, or nil where there is none.
func hundredths(r *big.Rat) any {
	if r == nil {
		return nil
	}
	v, err := costing.RoundRat(new(big.Rat).Mul(r, big.NewRat(100, 1)))
	if err != nil {
		return nil
	}
	return costing.Currency{Minor: 2}.Format(costing.Money(v))
}

// unweighedTable is what is aboard without a weight.
func unweighedTable(a *asked) (*Table, error) {
	t := a.table(text("hull", "hull"), text("stage", "stage"), text("item", "item"), text("unit", "unit"), number("quantity", "quantity"))
	t.Note = "Items without kilograms per unit, by what went into the part; without an item: bought-in parts, by purchase lines. No mass counts for either."
	for _, u := range a.figures.Unweighed() {
		if !a.wanted(u.Hull) {
			continue
		}
		unit := "purchase lines"
		if it := a.figures.Yard.Items[u.Item]; it != nil {
			unit = string(it.StockUnit)
		}
		t.Rows = append(t.Rows, []any{u.Hull, u.Stage, u.Item, unit, u.Quantity.String()})
	}
	return t, nil
}
