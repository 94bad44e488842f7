package handlers

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/revise"
	"hulltally/models"
)

// newEstimatePage begins an estimate: from another hull, from what past hulls
// took, from a list, or from nothing.
func (s *Server) newEstimatePage(v *Visit) error { return s.owned(v, newEstimatePage) }

func newEstimatePage(g *ground) (*ownedPage, error) {
	rows, err := g.tx.Revisions(g.ctx, "")
	if err != nil {
		return nil, err
	}
	var sources []string
	seen := map[string]bool{}
	for _, key := range keysInOrder(g.yard.Hulls) {
		sources = append(sources, key+"/"+inBooks)
		seen[g.yard.Hulls[key].Model] = true
	}
	for _, r := range rows {
		sources = append(sources, r.Hull+"/"+strconv.Itoa(r.Revision))
	}
	models := keysInOrder(seen)
	stages, err := g.tx.Stages(g.ctx)
	if err != nil {
		return nil, err
	}
	d := map[string]any{
		"Sources": sources, "Models": models, "Stages": stages, "Model": g.query.Get("model"), "Code": g.currency.Code, "Board": g.link("/estimates"),
		"Elements": []costing.Element{costing.Labour, costing.Material, costing.BoughtIn}, "Most": factorRows, "Rows": []int{1, 2, 3, 4},
	}
	if model := g.query.Get("model"); model != "" {
		took, hulls, err := g.took(model)
		if err != nil {
			return nil, err
		}
		d["Hulls"], d["Took"] = strings.Join(hulls, ", "), g.tookTable(took)
	}
	return &ownedPage{"estimate-new.html", "New estimate", d}, nil
}

// keysInOrder lists the keys of a map that are not blank.
func keysInOrder[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		if k != "" {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	return keys
}

// took gathers what the hulls of a model took in the stages they finished.
func (g *ground) took(model string) ([]revise.Took, []string, error) {
	var hulls []string
	for _, key := range keysInOrder(g.yard.Hulls) {
		if g.yard.Hulls[key].Model == model {
			hulls = append(hulls, key)
		}
	}
	c, err := g.figures.Cost()
	if err != nil {
		return nil, nil, err
	}
	p := &revise.Past{Yard: g.yard, Day: g.figures.Day, Plan: c.Plan, Stated: c.Stated, Totals: c.Totals}
	took, err := p.Of(hulls)
	return took, hulls, err
}

func (g *ground) tookTable(took []revise.Took) *grid {
	t := g.table("took", "What past hulls took, in the stages they finished", col("stage", "Stage"), col("part", "Part"), col("key", "Of what"), numCol("n", "Hulls"),
		numCol("median", "Median"), numCol("mean", "Mean"), numCol("least", "Least"), numCol("most", "Most"), numCol("waste", "Waste, median"), numCol("waste_least", "least"), numCol("waste_most", "most"))
	t.Empty = "No hull of this model has finished a stage yet: there is nothing to learn from."
	for i := range took {
		k := &took[i]
		show := func(v int64) figure {
			switch k.Element {
			case costing.Labour:
				f := amountOf(costing.Quantity(v), "")
				f.Note = "h"
				return f
			case costing.Material:
				var unit costing.Unit
				if it := g.yard.Items[k.Key]; it != nil {
					unit = it.StockUnit
				}
				return amountOf(costing.Quantity(v), unit)
			}
			return decimal(v)
		}
		n := count(k.Amount.N())
		if k.Amount.Few() {
			n.Note = "too few to call a spread"
		}
		cells := []figure{
			{Value: k.Stage, Text: g.stageName(k.Stage)},
			words(k.Part),
			{Value: k.Key, Text: k.Key, Note: string(k.Element)},
			n,
			show(k.Amount.Median()), show(k.Amount.Mean()), show(k.Amount.Least()), show(k.Amount.Most()),
		}
		if k.Waste.N() > 0 {
			for _, w := range []int64{k.Waste.Median(), k.Waste.Least(), k.Waste.Most()} {
				cells = append(cells, percentOfShare(costing.Share(w)))
			}
		} else {
			cells = append(cells, figure{}, figure{}, figure{})
		}
		t.add(cells...)
	}
	return t
}

// factorRows is how many changes the form of a copy takes.
const factorRows = 4

// newEstimate makes the first revision of a hull.
func (s *Server) newEstimate(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull := strings.TrimSpace(v.Form("hull"))
	back := "/estimates/new"
	if v.Form("from") == "past" {
		back += "?model=" + url.QueryEscape(v.Form("of"))
	}
	var r *revise.Revision
	err := s.onGround(v, func(g *ground) (err error) {
		if hull == "" {
			return models.Errorf(models.Invalid, "name the hull that the estimate is for")
		}
		if r, err = g.begun(v, hull); err != nil {
			return err
		}
		r.Hull, r.Day = hull, g.figures.Day
		r.Model = cmp.Or(v.Form("model"), r.Model)
		if h := g.yard.Hulls[hull]; h != nil {
			r.Day = h.Signed
		}
		if v.Form("price") != "" {
			if wrong := readContract(v, r); wrong != "" {
				return models.Errorf(models.Invalid, "%s", wrong)
			}
		}
		if r.PriceCurrency == "" {
			r.PriceCurrency, r.PriceRate = g.currency.Code, costing.Million
		}
		return nil
	})
	if err != nil {
		return s.sendBack(v, err, back)
	}
	n, err := s.store.KeepRevision(v.Request.Context(), r, s.entering(v, "began an estimate", hull, r.Basis))
	if err != nil {
		return s.sendBack(v, err, back)
	}
	v.Flash("Kept as revision %d: %s.", n, r.Basis)
	return v.Redirect("/estimate/" + url.PathEscape(hull) + "?revision=" + strconv.Itoa(n))
}

// begun is what the form begins with.
func (g *ground) begun(v *Visit, hull string) (*revise.Revision, error) {
	switch v.Form("from") {
	case "copy":
		h, state := parseState(v.Form("source"), "")
		r, state, err := g.revisionOf(h, state)
		if err != nil {
			return nil, err
		}
		factors, said, err := readFactors(v)
		if err != nil {
			return nil, err
		}
		c, err := revise.Copy(r, hull, factors)
		if err == nil {
			c.Basis = "copied from " + h + " " + which(state) + said
		}
		return c, err
	case "past":
		took, hulls, err := g.took(v.Form("of"))
		if err != nil {
			return nil, err
		}
		m := revise.ByMedian
		if v.Form("measure") == string(revise.ByMean) {
			m = revise.ByMean
		}
		r := &revise.Revision{Model: v.Form("of"), Lines: revise.Draft(g.yard, hull, g.figures.Day, took, m)}
		r.Basis = "the " + string(m) + " of what " + strings.Join(hulls, ", ") + " took"
		if len(r.Lines) == 0 {
			return nil, models.Errorf(models.Conflict, "no hull of this model has finished a stage yet: copy an estimate instead")
		}
		return r, nil
	case "nothing":
		return &revise.Revision{Basis: "typed"}, nil
	}
	return nil, models.Errorf(models.Invalid, "the form does not say what to begin with: use the buttons of the page")
}

// readFactors reads the changes of a copy, and says them.
func readFactors(v *Visit) (list []revise.Factor, said string, err error) {
	for i := 1; i <= factorRows; i++ {
		n := "." + strconv.Itoa(i)
		text := v.Form("times" + n)
		if text == "" {
			continue
		}
		times, err := readNumber(text)
		if err != nil || times < 0 || times > 1000*costing.Million {
			return nil, "", models.Errorf(models.Invalid, "change %d: give per cent from 0 to 1000, such as 110", i)
		}
		f := revise.Factor{Stage: v.Form("stage" + n), Element: costing.Element(v.Form("element" + n)), Times: costing.Share(times / 100)}
		if f.Times == costing.One {
			continue
		}
		list = append(list, f)
		said += ", " + cmp.Or(string(f.Element), "all") + " of " + cmp.Or(f.Stage, "every stage") + " " + costing.FormatDecimal(times) + " %"
	}
	return list, said, nil
}
