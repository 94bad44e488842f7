package costingtest

import (
	"math/big"
	"time"
)

// Margin is one row of the margin report.
type Margin struct {
	Hull                                                               string
	Price, Changes, Estimate, Actual, ToComplete, AtCompletion, Margin int64
}

// Margins gives the rows of the margin report as of an instant.
func (o *Oracle) Margins(now time.Time) []Margin {
	acts := o.acts(now)
	p := o.plan(acts, now)
	costs := o.Costs(now)
	rows := []Margin{}
	for _, h := range o.files["hulls"] {
		m := Margin{Hull: h["hull"], Price: o.minor(mul(num(h["price"]), fx(h["price_rate"])))}
		changes := new(big.Rat)
		for _, c := range o.files["changes"] {
			if c["hull"] == m.Hull && o.agreed(c["change"], now) {
				changes = add(changes, mul(num(c["price"]), fx(h["price_rate"])))
			}
		}
		m.Changes = o.minor(changes)
		type cell struct {
			stage, element string
			apart          bool
		}
		estimate, actual := map[cell]int64{}, map[cell]int64{}
		for _, c := range costs {
			if c.Hull != m.Hull {
				continue
			}
			m.Estimate += c.Estimate
			m.Actual += c.Actual
			k := cell{c.Stage, c.Element, c.Purpose == "rework" || c.Purpose == "warranty"}
			estimate[k] += c.Estimate
			actual[k] += c.Actual
		}
		for k, b := range estimate {
			if k.apart && b == 0 {
				continue // nobody planned it, so nothing foretells more
			}
			m.ToComplete += o.toComplete(k.element, b, actual[k], p.progress[[2]string{m.Hull, k.stage}])
		}
		m.AtCompletion = m.Actual + m.ToComplete
		m.Margin = m.Price + m.Changes - m.AtCompletion
		rows = append(rows, m)
	}
	return rows
}

// toComplete is the forecast of what a stage's element still takes.
func (o *Oracle) toComplete(element string, estimate, actual int64, done *big.Rat) int64 {
	switch {
	case done.Cmp(whole(1)) >= 0:
		return 0
	case element == "material" || element == "bought-in":
		return max(estimate-actual, 0)
	case done.Cmp(num("0.15")) < 0:
		return round(mul(sub(whole(1), done), whole(estimate)))
	}
	return round(quo(whole(actual), done)) - actual
}

// Hours is one row of the hours report: seconds, and amounts in minor units.
type Hours struct {
	Worker, Week                                      string
	Ordinary, Overtime, Double, Base, OnCost, Premium int64
	Jobs, Indirect, Provisional                       int64
}

// HoursWorked gives the rows of the hours report as of an instant.
func (o *Oracle) HoursWorked(now time.Time) []Hours {
	rows := []Hours{}
	at := map[[2]string]int{}
	for _, p := range o.pieces(o.acts(now), now) {
		k := [2]string{p.worker, p.week}
		i, ok := at[k]
		if !ok {
			i = len(rows)
			at[k], rows = i, append(rows, Hours{Worker: p.worker, Week: p.week})
		}
		h := &rows[i]
		switch p.band {
		case "ordinary":
			h.Ordinary += p.seconds
		case "overtime":
			h.Overtime += p.seconds
		default:
			h.Double += p.seconds
		}
		if _, job := jobOf(p.target); job {
			h.Jobs += p.seconds
		} else {
			h.Indirect += p.seconds
		}
		if p.provisional {
			h.Provisional += p.seconds
		}
		h.Base, h.OnCost, h.Premium = h.Base+p.base, h.OnCost+p.onCost+p.premiumOnCost, h.Premium+p.premium
	}
	return rows
}

// Stock is one row of the stock report; Value is the whole item's where it is averaged.
type Stock struct {
	Item, Lot                                                 string
	Received, Issued, Returned, Scrapped, Difference, Closing *big.Rat
	Averaged                                                  bool
	Value                                                     int64
}

// StockHeld gives the rows of the stock report as of an instant.
func (o *Oracle) StockHeld(now time.Time) []Stock {
	s := o.stock(o.acts(now), now)
	rows := []Stock{}
	for _, r := range o.files["lots"] {
		l := s.lots[r["lot"]]
		if l.received.Sign() == 0 { // not there yet: what was drawn is owed
			l.cost = 0
		}
		row := Stock{
			r["item"], r["lot"], l.received, l.issued, l.returned, l.scrapped, l.difference, l.book, false, l.cost - l.spent,
		}
		if l.item["cost_method"] == "average" {
			row.Averaged, row.Value = true, o.pool(s, l.item).value
		}
		rows = append(rows, row)
	}
	return rows
}

// Mass is one row of the mass report.
type Mass struct {
	Hull, Stage      string
	Kg, Fibre, Resin *big.Rat
}

// MassBuiltIn gives the kilograms that went aboard, by hull and stage.
func (o *Oracle) MassBuiltIn(now time.Time) []Mass {
	acts := o.acts(now)
	s := o.stock(acts, now)
	rows := []Mass{}
	for _, h := range o.files["hulls"] {
		for _, st := range o.files["stages"] {
			m := Mass{h["hull"], st["stage"], new(big.Rat), new(big.Rat), new(big.Rat)}
			for _, c := range s.charges {
				job := o.find("jobs", "job", c.job)
				list := o.shares(c.job)
				if job["stage"] != m.Stage {
					continue
				}
				item := o.find("items", "item", c.item)
				aboard, kg := whole(1), new(big.Rat)
				if item["aboard_share"] != "" {
					aboard = num(item["aboard_share"])
				}
				net := c.net
				if item["waste_mode"] == "measured" { // what was read is gross
					net = sub(net, c.waste)
				}
				for i, part := range splitQuantity(net, weights(list)) {
					if list[i].hull == m.Hull {
						kg = add(kg, mul(part, num(item["kg_per_unit"]), aboard))
					}
				}
				m.Kg = add(m.Kg, kg)
				switch item["role"] {
				case "fibre":
					m.Fibre = add(m.Fibre, kg)
				case "resin", "hardener":
					m.Resin = add(m.Resin, kg)
				}
			}
			m.Kg = sixPlaces(m.Kg)
			rows = append(rows, m)
		}
	}
	return rows
}
