package handlers

import (
	"strings"

	"hulltally/costing"
	"hulltally/costing/variance"
)

// costTable is actual cost against estimate and allowed cost, with the
// variances that explain the difference.
func costTable(a *asked) (*Table, error) {
	cost, err := a.figures.Cost()
	if err != nil {
		return nil, err
	}
	columns := []Column{
		text("hull", "hull"), text("stage", "stage"), text("element", "element"), text("purpose", "purpose"),
		number("seconds", "seconds"), money("estimate", "estimate"), money("allowed", "allowed"), money("actual", "actual"),
	}
	for _, c := range variance.Causes {
		columns = append(columns, sparseMoney("variances."+string(c), strings.ReplaceAll(string(c), "_", " ")))
	}
	t := a.table(columns...)
	for _, r := range cost.Rows {
		if !a.wanted(r.Hull) {
			continue
		}
		row := []any{
			r.Hull, r.Stage, string(r.Element), string(r.Purpose), r.Seconds,
			a.money(r.Estimate), a.money(r.Allowed), a.money(r.Actual),
		}
		for _, c := range variance.Causes {
			if m, ok := r.Variances[c]; ok {
				row = append(row, a.money(m))
			} else {
				row = append(row, nil)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

// marginTable is each hull's price against its forecast.
func marginTable(a *asked) (*Table, error) {
	cost, err := a.figures.Cost()
	if err != nil {
		return nil, err
	}
	t := a.table(text("hull", "hull"), money("price", "price"), money("changes", "changes"), money("estimate", "estimate"),
		money("actual", "actual"), money("to_complete", "to complete"), money("at_completion", "at completion"),
		money("margin", "margin"), shareOf(money("margin_share", "margin share")), shareOf(money("progress", "progress")))
	for i := range cost.Margins {
		m := &cost.Margins[i]
		if !a.wanted(m.Hull) {
			continue
		}
		t.Rows = append(t.Rows, []any{
			m.Hull, a.money(m.Price), a.money(m.Changes), a.money(m.Estimate), a.money(m.Actual), a.money(m.ToComplete),
			a.money(m.AtCompletion), a.money(m.Margin), share(m.Share()), share(m.Progress()),
		})
	}
	return t, nil
}

// massTable is the mass built in against the weight budget.
func massTable(a *asked) (*Table, error) {
	rows, err := costing.Mass(a.figures.Yard, a.figures.Totals)
	if err != nil {
		return nil, err
	}
	t := a.table(text("hull", "hull"), text("stage", "stage"), number("kg", "kg"), number("budget_kg", "budget kg"),
		shareOf(number("fibre_fraction", "fibre fraction")))
	for i := range rows {
		r := &rows[i]
		if !a.wanted(r.Hull) {
			continue
		}
		var budget any
		if r.Budgeted {
			budget = r.Budget.String()
		}
		t.Rows = append(t.Rows, []any{r.Hull, r.Stage, r.Kg.String(), budget, share(r.FibreFraction())})
	}
	return t, nil
}
