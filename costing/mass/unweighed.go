package mass

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// Unweighed is what went into a hull's stage without a weight that the books
// know: an item that has no kilograms per unit, or bought-in parts, which
// never have any.
type Unweighed struct {
	costing.HullStage
	Item     string           // empty: bought-in parts
	Quantity costing.Quantity // in the stock unit; of parts their number of purchase lines
}

// Without lists what is aboard without a weight. Consumables stay ashore, and
// so does what the yard says stays ashore with a weight of its own. (Decision:
// an item without a weight counts here whatever share stays aboard, but for
// consumables: nobody has said that it weighs nothing.)
func Without(y *costing.Yard, t *costing.Totals, day costing.Date) []Unweighed {
	type key struct {
		costing.HullStage
		item string
	}
	sums := map[key]costing.Quantity{}
	for fine, s := range t.Fine {
		job, it := y.Jobs[fine.Job], y.Items[fine.Detail]
		if fine.Element != costing.Material || job == nil || it == nil || it.KgPerUnit != 0 || it.Role == costing.Consumable ||
			y.Tools[fine.Hull] != nil {
			continue
		}
		sums[key{costing.HullStage{Hull: fine.Hull, Stage: job.Stage}, it.Key}] += Net(it, s)
	}
	for i := range y.Bought {
		if b := &y.Bought[i]; b.Date <= day && y.Tools[b.Hull] == nil {
			sums[key{costing.HullStage{Hull: b.Hull, Stage: b.Stage}, ""}] += costing.Million
		}
	}
	var list []Unweighed
	for k, q := range sums {
		if q != 0 {
			list = append(list, Unweighed{k.HullStage, k.item, q})
		}
	}
	slices.SortFunc(list, func(a, b Unweighed) int {
		return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Item, b.Item))
	})
	return list
}

// Net is what went into the part: of factored items what was read, of measured
// ones what was drawn less the waste that was weighed.
func Net(it *costing.Item, s costing.Sums) costing.Quantity {
	if it.WasteMode == costing.Factored {
		return s.Net
	}
	return s.Net - s.Waste
}
