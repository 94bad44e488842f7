package variance

import (
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// material works a material row out item by item; the row is their sum.
func (c *calc) material(r *Row) {
	actual := c.facts.material[c.key]
	names := map[string]bool{}
	for item := range actual {
		names[item] = true
	}
	if c.row != nil {
		for item := range c.row.Items {
			names[item] = true
		}
	}
	for _, item := range slices.Sorted(maps.Keys(names)) {
		r.Items = append(r.Items, c.item(item, actual[item]))
	}
	if !c.key.Purpose.Apart() {
		c.mixes(r.Items)
	}
	if len(r.Items) > 0 {
		r.Variances[MaterialPrice], r.Variances[MaterialUsage] = 0, 0
	}
	for _, it := range r.Items {
		r.Estimate += it.Estimate
		r.Allowed += it.Allowed
		for cause, m := range it.Variances {
			r.Variances[cause] += m
		}
	}
}

func (c *calc) item(name string, s costing.Sums) ItemRow {
	row := ItemRow{
		Item: name, Quantity: s.Quantity, Net: s.Net, Waste: s.Waste, Actual: s.Amount,
		Variances: map[Cause]costing.Money{},
	}
	plan := c.planned(name)
	if plan == nil {
		row.Variances[Unplanned] = row.Actual
		return row
	}
	row.Planned = true
	row.EstimateNet = costing.Quantity(c.round(plan.Net))
	row.EstimateGross = costing.Quantity(c.round(plan.Gross))
	row.Estimate, row.Allowed = c.round(plan.Cost), c.allowed(plan.Cost)
	price := plan.StandardPrice()
	if price == nil { // a line of no quantity still names the item
		price = new(big.Rat)
		if it := c.y.Items[name]; it != nil {
			price = c.y.Currency.Extend(1, it.StandardPrice)
		}
	}
	standard := c.worth(price, rat(s.Quantity))
	row.Variances[MaterialPrice] = row.Actual - standard
	if s.Waste == 0 {
		row.Variances[MaterialUsage] = standard - row.Allowed
		return row
	}
	good := rat(s.Quantity - s.Waste)
	if a := plan.Allowance(); a != nil {
		good.Mul(good, a)
	}
	expected := c.worth(price, good)
	row.Variances[MaterialWaste] = standard - expected
	row.Variances[MaterialTakeOff] = expected - row.Allowed
	return row
}

func (c *calc) planned(item string) *estimate.Item {
	if c.row == nil {
		return nil
	}
	return c.row.Items[item]
}

func (c *calc) worth(price, quantity *big.Rat) costing.Money {
	return c.round(new(big.Rat).Mul(price, quantity))
}

func rat(q costing.Quantity) *big.Rat { return new(big.Rat).SetInt64(int64(q)) }

// mixes replaces the usage of a resin and its hardener by mix and yield, where
// both are estimated and neither has measured waste. (Decision: resins that
// share a hardener in one row are one mix, or its hardener would count twice;
// items of unlike stock units are none, since their quantities do not add up.)
func (c *calc) mixes(rows []ItemRow) {
	index := map[string]int{}
	for i, r := range rows {
		index[r.Item] = i
	}
	parts := map[string][]int{}
	for i, r := range rows {
		it := c.y.Items[r.Item]
		if it == nil || it.HardenerItem == "" || !c.mixable(&rows[i]) {
			continue
		}
		h, ok := index[it.HardenerItem]
		if !ok || !c.mixable(&rows[h]) || c.y.Items[rows[h].Item].StockUnit != it.StockUnit {
			continue
		}
		if parts[it.HardenerItem] == nil {
			parts[it.HardenerItem] = []int{h}
		}
		parts[it.HardenerItem] = append(parts[it.HardenerItem], i)
	}
	for _, hardener := range slices.Sorted(maps.Keys(parts)) {
		c.mix(rows, parts[hardener])
	}
}

func (c *calc) mixable(r *ItemRow) bool {
	return r.Planned && r.Waste == 0 && c.planned(r.Item).Gross.Sign() > 0
}

// mix: the actual total at the standard shares is what the mix should have
// been; beyond that it is yield.
func (c *calc) mix(rows []ItemRow, members []int) {
	total, standard := new(big.Rat), new(big.Rat)
	for _, i := range members {
		total.Add(total, rat(rows[i].Quantity))
		standard.Add(standard, c.planned(rows[i].Item).Gross)
	}
	for _, i := range members {
		r := &rows[i]
		plan := c.planned(r.Item)
		share := new(big.Rat).Quo(plan.Gross, standard)
		expected := c.worth(plan.StandardPrice(), share.Mul(share, total))
		used := r.Variances[MaterialUsage] + r.Allowed // standard price × actual quantity
		delete(r.Variances, MaterialUsage)
		r.Variances[Mix] = used - expected
		r.Variances[Yield] = expected - r.Allowed
	}
}
