package stock

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// Unit is what is costed as one: a lot, or an item's pool.
type Unit struct{ Item, Lot string } // Lot is empty for a pool

// UnitOf is the unit a lot belongs to.
func UnitOf(y *costing.Yard, lot string) Unit {
	l := y.Lots[lot]
	if l == nil {
		return Unit{}
	}
	if it := y.Items[l.Item]; it != nil && it.CostMethod == costing.ByAverage {
		return Unit{Item: l.Item}
	}
	return Unit{Item: l.Item, Lot: lot}
}

// deepest bounds the chain of offcuts cut from offcuts.
const deepest = 1000

// Depth is how many cuts a unit is away from a delivery. What a unit cost is
// known once all of a lesser depth are costed.
func Depth(y *costing.Yard, u Unit) int {
	depth := 0
	for l := y.Lots[u.Lot]; l != nil && l.Parent != "" && depth < deepest; l = y.Lots[l.Parent] {
		depth++
	}
	return depth
}

// InOrder sorts units so that each comes after the one it was cut from.
func InOrder(y *costing.Yard, units []Unit) {
	depth := map[Unit]int{}
	for _, u := range units {
		if d := Depth(y, u); d > 0 {
			depth[u] = d
		}
	}
	slices.SortFunc(units, func(a, b Unit) int {
		return cmp.Or(cmp.Compare(depth[a], depth[b]), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Lot, b.Lot))
	})
}
