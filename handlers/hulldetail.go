package handlers

import (
	"cmp"
	"maps"
	"math/big"
	"slices"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/costing/variance"
)

func percent(whole int) figure {
	f := part(big.NewRat(int64(whole), 100))
	f.Text = strconv.Itoa(whole) + "\u202f%"
	return f
}

// labourTable is the time of each grade by ISO week.
func (g *ground) labourTable(h *review.Hull) (*grid, error) {
	days, err := g.labourDays(h.Hull.Key, "")
	if err != nil {
		return nil, err
	}
	type week struct {
		seconds map[string]int64
		all     int64
		cost    costing.Money
	}
	weeks, grades := map[costing.Date]*week{}, map[string]int64{}
	var most int64
	for _, d := range days {
		w := weeks[d.Day.Monday()]
		if w == nil {
			w = &week{seconds: map[string]int64{}}
			weeks[d.Day.Monday()] = w
		}
		w.seconds[d.Grade] += d.Seconds
		w.all += d.Seconds
		w.cost += d.Amount
		grades[d.Grade] += d.Seconds
		most = max(most, w.all)
	}
	order := slices.Sorted(maps.Keys(grades))
	t := g.table("labour", "Labour by week and grade, hours", col("week", "Week"))
	for _, grade := range order {
		t.Columns = append(t.Columns, numCol(grade, grade))
	}
	t.Columns = append(t.Columns, numCol("seconds", "Together, h"), numCol("cost", "Cost, "+g.currency.Code))
	t.Empty = "Nobody has worked on it yet."
	var all int64
	var cost costing.Money
	for _, monday := range slices.Sorted(maps.Keys(weeks)) {
		w := weeks[monday]
		cells := []figure{{Value: monday.Week(), Text: monday.Week(), Note: "from " + review.DayName(monday)}}
		for _, grade := range order {
			if s := w.seconds[grade]; s != 0 {
				cells = append(cells, hoursOf(s))
			} else {
				cells = append(cells, figure{})
			}
		}
		bar := hoursOf(w.all)
		bar.Bar = percentOf(costing.Money(w.all), costing.Money(most))
		t.add(append(cells, bar, g.cash(w.cost).to(g.toPostings(review.Target{Hull: h.Hull.Key, Element: costing.Labour}, "week", monday.Week())))...)
		all += w.all
		cost += w.cost
	}
	cells := []figure{words("Together")}
	for _, grade := range order {
		cells = append(cells, hoursOf(grades[grade]).to(g.toPostings(review.Target{Hull: h.Hull.Key, Element: costing.Labour, Detail: grade})))
	}
	t.foot(append(cells, hoursOf(all), g.cash(cost).to(g.toPostings(review.Target{Hull: h.Hull.Key, Element: costing.Labour})))...)
	return t, nil
}

// materialSum is one item over the rows of a hull or a stage.
type materialSum struct {
	allowed, quantity, waste costing.Quantity
	actual, price, usage     costing.Money
	mix, unplanned, apart    costing.Money
}

// materialTable is the material by item: of a hull, or of one of its stages.
func (g *ground) materialTable(b *review.Books, h *review.Hull, stage string) *grid {
	items := map[string]*materialSum{}
	for i := range b.Rows {
		r := &b.Rows[i]
		if r.Hull != h.Hull.Key || r.Element != costing.Material || stage != "" && r.Stage != stage {
			continue
		}
		progress := b.Plan.Stage(costing.HullStage{Hull: r.Hull, Stage: r.Stage}, b.Stated)
		for j := range r.Items {
			it := &r.Items[j]
			m := items[it.Item]
			if m == nil {
				m = &materialSum{}
				items[it.Item] = m
			}
			m.allowed += review.AllowedQuantity(it, progress)
			m.quantity += it.Quantity
			m.waste += it.Waste
			m.actual += it.Actual
			if r.Purpose.Apart() {
				m.apart += it.Actual - it.Allowed
				continue
			}
			v := it.Variances
			m.price += v[variance.MaterialPrice]
			m.usage += v[variance.MaterialUsage] + v[variance.MaterialWaste] + v[variance.MaterialTakeOff]
			m.mix += v[variance.Mix] + v[variance.Yield]
			m.unplanned += v[variance.Unplanned]
		}
	}
	t := g.table("material", "Material by item: + costs more than allowed, − less", col("item", "Item"), numCol("expected", "Allowed so far"),
		numCol("drawn", "Drawn"), numCol("waste", "Weighed as waste"), numCol("actual", "Cost, "+g.currency.Code), numCol("price", "Price"),
		numCol("usage", "Quantity"), numCol("mix", "Mix and yield"), numCol("unplanned", "Unplanned"), numCol("rework", "Rework"))
	t.Empty = "Nothing was drawn or planned."
	var sum materialSum
	names := slices.SortedFunc(maps.Keys(items), func(x, y string) int {
		return cmp.Or(cmp.Compare(items[y].over(), items[x].over()), cmp.Compare(x, y))
	})
	for _, name := range names {
		m := items[name]
		it := g.yard.Items[name]
		var unit costing.Unit
		head := words(name)
		if it != nil {
			unit, head.Text = it.StockUnit, it.Name
		}
		t.add(head, amountOf(m.allowed, unit), amountOf(m.quantity, unit), amountOf(m.waste, unit),
			g.cash(m.actual).to(g.toPostings(review.Target{Hull: h.Hull.Key, Stage: stage, Element: costing.Material, Detail: name})),
			g.cause(m.price), g.cause(m.usage), g.cause(m.mix), g.cause(m.unplanned), g.cause(m.apart))
		sum.actual += m.actual
		sum.price += m.price
		sum.usage += m.usage
		sum.mix += m.mix
		sum.unplanned += m.unplanned
		sum.apart += m.apart
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, g.cash(sum.actual), g.cause(sum.price), g.cause(sum.usage), g.cause(sum.mix),
		g.cause(sum.unplanned), g.cause(sum.apart))
	return t
}

// over is what the item cost beyond what is allowed.
func (m *materialSum) over() costing.Money { return m.price + m.usage + m.mix + m.unplanned + m.apart }

// massTable is the mass built in against the weight budget.
func (g *ground) massTable(b *review.Books, hull string) (*grid, error) {
	rows, err := costing.Mass(g.yard, b.Totals)
	if err != nil {
		return nil, err
	}
	t := g.table("mass", "Mass built in", col("stage", "Stage"), numCol("kg", "Built in, kg"), numCol("budget_kg", "Budget, kg"),
		numCol("left_kg", "Budget − built in"), numCol("fibre_fraction", "Fibre by mass"))
	t.Empty = "Nothing that stays aboard was drawn, and there is no weight budget."
	var kg, budget costing.Quantity
	for i := range rows {
		r := &rows[i]
		if r.Hull != hull {
			continue
		}
		cells := []figure{{Value: r.Stage, Text: g.stageName(r.Stage)}, amountOf(r.Kg, ""), {}, {}, part(r.FibreFraction())}
		if r.Budgeted {
			cells[2], cells[3] = amountOf(r.Budget, ""), amountOf(r.Budget-r.Kg, "")
		}
		kg += r.Kg
		budget += r.Budget
		t.add(cells...)
	}
	t.foot(words("The hull"), amountOf(kg, ""), amountOf(budget, ""), amountOf(budget-kg, ""), figure{})
	return t, nil
}
