package tooling

import (
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Row is a tool in the books: what it cost, what it will have cost, and how
// each of the two is spread.
type Row struct {
	Tool                           *costing.Tool
	Estimate, Actual, AtCompletion costing.Money
	Seconds                        int64
	Now, Final                     *Spread // of Actual; of AtCompletion
}

// Hull is what a hull bears of all tools.
type Hull struct {
	Charged costing.Money // of what the tools have cost so far, for uses made
	Final   costing.Money // of what they will have cost, for all its uses
}

// Books works every tool out, by key, from the rows of the cost report and the
// cells of the forecast.
func Books(y *costing.Yard, day costing.Date, rows []variance.Row, cells []forecast.Cell) ([]Row, error) {
	byKey := map[string]*Row{}
	for _, key := range slices.Sorted(maps.Keys(y.Tools)) {
		byKey[key] = &Row{Tool: y.Tools[key]}
	}
	for i := range rows {
		if r := byKey[rows[i].Hull]; r != nil {
			r.Estimate += rows[i].Estimate
			r.Actual += rows[i].Actual
			r.AtCompletion += rows[i].Actual
			r.Seconds += rows[i].Seconds
		}
	}
	for i := range cells {
		if r := byKey[cells[i].Hull]; r != nil {
			r.AtCompletion += cells[i].ToComplete()
		}
	}
	list := make([]Row, 0, len(byKey))
	for _, key := range slices.Sorted(maps.Keys(byKey)) {
		r, err := byKey[key], error(nil)
		if r.Now, err = Of(r.Tool, r.Actual, day); err != nil {
			return nil, err
		}
		if r.Final, err = Of(r.Tool, r.AtCompletion, day); err != nil {
			return nil, err
		}
		list = append(list, *r)
	}
	return list, nil
}

// ByHull adds up what each hull bears.
func ByHull(rows []Row) map[string]Hull {
	byHull := map[string]Hull{}
	for i := range rows {
		for _, s := range rows[i].Now.Shares {
			if s.Made {
				h := byHull[s.Hull]
				h.Charged += s.Cost
				byHull[s.Hull] = h
			}
		}
		for _, s := range rows[i].Final.Shares {
			h := byHull[s.Hull]
			h.Final += s.Cost
			byHull[s.Hull] = h
		}
	}
	return byHull
}
