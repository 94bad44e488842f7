package costingtest

import (
	"math/big"
	"time"
)

// Cost is one row of the cost report, amounts in minor units.
type Cost struct {
	Hull, Stage, Element, Purpose      string
	Seconds, Estimate, Allowed, Actual int64
	Variances                          map[string]int64
}

// Costs gives the rows of the cost report as of an instant.
func (o *Oracle) Costs(now time.Time) []Cost {
	acts := o.acts(now)
	p := o.plan(acts, now)
	c := o.costs(p, o.pieces(acts, now), o.stock(acts, now), now)
	rows := []Cost{}
	for _, h := range o.files["hulls"] {
		for _, s := range o.files["stages"] {
			for _, element := range []string{"bought-in", "labour", "material", "overhead"} {
				for _, purpose := range []string{"build", "change", "rework", "warranty"} {
					if row, any := o.row(p, c, spot{h["hull"], s["stage"], element, purpose}); any {
						rows = append(rows, row)
					}
				}
			}
		}
	}
	return rows
}

func (o *Oracle) row(p *plan, c *costs, at spot) (row Cost, any bool) {
	done := p.progress[[2]string{at.hull, at.stage}]
	row = Cost{at.hull, at.stage, at.element, at.purpose, c.seconds[at], 0, 0, c.actual[at], map[string]int64{}}
	exact := p.exact[at]
	_, happened := c.actual[at]
	any = exact != nil || happened
	if exact != nil {
		row.Estimate, row.Allowed = o.minor(exact), o.minor(mul(exact, done))
	}
	standard := int64(0)
	if s := c.standard[at]; s != nil {
		standard = o.minor(s)
	}
	switch at.element {
	case "labour":
		row.Variances["labour_rate"] = row.Actual - standard
		row.Variances["labour_efficiency"] = standard - row.Allowed
	case "overhead":
		row.Variances["overhead_efficiency"] = row.Actual - row.Allowed
	case "bought-in":
		row.Variances["bought_in"] = row.Actual - row.Allowed
	case "material":
		any = o.materials(p, c, at, done, &row)
	}
	if at.purpose == "rework" || at.purpose == "warranty" {
		row.Variances = map[string]int64{"rework": row.Actual - row.Allowed}
	}
	return row, any
}

// materials works out a material row item by item.
func (o *Oracle) materials(p *plan, c *costs, at spot, done *big.Rat, row *Cost) (any bool) {
	paired := o.pairs(p, c, at)
	for _, item := range o.files["items"] {
		k := thing{at.hull, at.stage, at.purpose, item["item"]}
		w, u := p.items[k], c.items[k]
		if w == nil && u == nil {
			continue
		}
		any = true
		if u == nil {
			u = &used{gross: new(big.Rat), waste: new(big.Rat)}
		}
		if w == nil {
			row.Variances["unplanned"] += u.cost
			continue
		}
		estimate, allowed := o.minor(w.cost), o.minor(mul(w.cost, done))
		row.Estimate += estimate
		row.Allowed += allowed
		price := quo(w.cost, w.gross)
		standard := o.minor(mul(price, u.gross))
		row.Variances["material_price"] += u.cost - standard
		switch share, mixed := paired[item["item"]]; {
		case mixed:
			should := o.minor(mul(price, share))
			row.Variances["mix"] += standard - should
			row.Variances["yield"] += should - allowed
		case u.waste.Sign() > 0:
			good := o.minor(mul(price, sub(u.gross, u.waste), quo(w.gross, w.net)))
			row.Variances["material_waste"] += standard - good
			row.Variances["material_take_off"] += good - allowed
		default:
			row.Variances["material_usage"] += standard - allowed
		}
	}
	return any
}

// pairs gives, for the resins and hardeners of a row that are a mix, the
// quantity each would have of the pair's total.
func (o *Oracle) pairs(p *plan, c *costs, at spot) map[string]*big.Rat {
	share := map[string]*big.Rat{}
	for _, resin := range o.files["items"] {
		a := thing{at.hull, at.stage, at.purpose, resin["item"]}
		b := thing{at.hull, at.stage, at.purpose, resin["hardener"]}
		if resin["hardener"] == "" || p.items[a] == nil || p.items[b] == nil {
			continue
		}
		quantity := new(big.Rat)
		measured := false
		for _, k := range []thing{a, b} {
			if u := c.items[k]; u != nil {
				quantity, measured = add(quantity, u.gross), measured || u.waste.Sign() > 0
			}
		}
		if !measured {
			planned := add(p.items[a].gross, p.items[b].gross)
			share[a.item] = quo(mul(quantity, p.items[a].gross), planned)
			share[b.item] = quo(mul(quantity, p.items[b].gross), planned)
		}
	}
	return share
}
