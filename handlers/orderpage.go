package handlers

import (
	"hulltally/costing"
	"hulltally/costing/need"
	"hulltally/costing/review"
	"hulltally/models"
)

// orderPage is what the open jobs still expect, by item and week, and what of
// it the stock does not cover: a list to order from.
func (s *Server) orderPage(v *Visit) error { return s.owned(v, orderPage) }

func orderPage(g *ground) (*ownedPage, error) {
	list, err := g.figures.Need()
	if err != nil {
		return nil, err
	}
	p := &sections{Trail: []figure{{Text: "Material", Href: g.link("/material")}}, AsOf: g.asOf("item"), Lead: "A list to order from, not an order."}
	if key := g.query.Get("item"); key != "" {
		for i := range list {
			if list[i].Item.Key == key {
				p.Trail = append(p.Trail, figure{Text: "What to order", Href: g.link("/order")})
				p.Lead = ""
				p.Facts = g.needFacts(&list[i])
				p.Sections = []section{
					{ID: "weeks", Title: "Weeks", Tables: []*grid{g.weeksTable(list[i : i+1])}, Note: orderNote},
					{ID: "jobs", Title: "What the need is made of", Tables: []*grid{g.needTable(&list[i])}},
				}
				return p.page("What to order: " + list[i].Item.Name), nil
			}
		}
		if g.yard.Items[key] == nil {
			return nil, models.Errorf(models.NotFound, "there is no item %.60q", key)
		}
		p.Lead = "No open job expects any more of " + g.yard.Items[key].Name + "."
		return p.page("What to order"), nil
	}
	p.Sections = []section{
		{ID: "weeks", Title: "By item and week", Tables: []*grid{g.weeksTable(list)}, Note: orderNote},
		{ID: "lapses", Title: "Stock that lapses before it is wanted", Tables: []*grid{g.lapsesTable(list)}},
	}
	return p.page("What to order"), nil
}

func (g *ground) needFacts(it *need.Item) []fact {
	facts := []fact{{"On the shelf and usable", amountOf(it.Usable, it.Item.StockUnit)}}
	if it.Unusable != 0 {
		facts = append(facts, fact{"Held or past its date", amountOf(it.Unusable, it.Item.StockUnit)})
	}
	return facts
}

// weeksTable is the need week by week.
func (g *ground) weeksTable(list []need.Item) *grid {
	t := g.table("weeks", "Need and stock by item and week", col("item", "Item"), col("week", "Week"), numCol("need", "Needed"), numCol("from_stock", "From stock"),
		numCol("to_order", "To order"))
	if g.seesMoney() {
		t.Columns = append(t.Columns, numCol("value", "At standard price, "+g.currency.Code))
	}
	t.Empty = "No open job expects any more material."
	var all costing.Money
	for i := range list {
		it := &list[i]
		for j := range it.Weeks {
			w := &it.Weeks[j]
			order := amountOf(w.ToOrder, "")
			if w.ToOrder > 0 {
				order.Class = "asks-look"
			}
			week := figure{Value: w.Monday.Week(), Text: w.Monday.Week(), Note: "from " + review.DayName(w.Monday)}
			need := amountOf(w.Need, it.Item.StockUnit)
			need.Href = g.link("/order", "item", it.Item.Key) + "#jobs"
			cells := []figure{g.itemFigure(it.Item.Key), week, need, amountOf(w.FromStock, ""), order}
			if g.seesMoney() {
				v, err := costing.RoundRat(g.currency.Extend(w.ToOrder, it.Item.StandardPrice))
				if err != nil {
					v = 0
				}
				all += costing.Money(v)
				cells = append(cells, g.cash(costing.Money(v)))
			}
			t.add(cells...)
		}
	}
	if g.seesMoney() {
		foot := make([]figure, len(t.Columns))
		foot[0], foot[len(foot)-1] = words("Together"), g.cash(all)
		t.foot(foot...)
	}
	return t
}

// needTable is what each job still expects of an item.
func (g *ground) needTable(it *need.Item) *grid {
	t := g.table("jobs", "What each job still expects", col("job", "Job"), col("hulls", "Hulls"), col("stage", "Stage"), col("week", "Week"), col("day", "Wanted from"),
		numCol("need", "Needed"))
	var all costing.Quantity
	for i := range it.Weeks {
		for _, l := range it.Weeks[i].Lines {
			all += l.Quantity
			t.add(g.jobFigure(l.Job.Key, review.Target{Hull: l.Job.Shares[0].Hull, Job: l.Job.Key, Element: costing.Material, Detail: it.Item.Key}),
				words(hullsOf(l.Job)), figure{Value: l.Job.Stage, Text: g.stageName(l.Job.Stage)}, words(l.Day.Monday().Week()), day(l.Day),
				amountOf(l.Quantity, it.Item.StockUnit))
		}
	}
	t.foot(words("Together"), figure{}, figure{}, figure{}, figure{}, amountOf(all, it.Item.StockUnit))
	return t
}

// lapsesTable is stock that no open job wants in time.
func (g *ground) lapsesTable(list []need.Item) *grid {
	t := g.table("lapses", "Stock that lapses before the open jobs want it", col("lot", "Lot"), col("item", "Item"), numCol("quantity", "Left over"), col("best", "Use by"))
	t.Empty = "None."
	for i := range list {
		for _, l := range list[i].Lapses {
			t.add(figure{Value: l.Lot, Text: l.Lot, Href: g.open(g.toLot(l.Lot, ""))}, g.itemFigure(list[i].Item.Key), amountOf(l.Quantity, list[i].Item.StockUnit), day(l.Best))
		}
	}
	return t
}
