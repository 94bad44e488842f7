package handlers

import (
	"net/url"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/review"
	"hulltally/costing/whatif"
	"hulltally/models"
)

// statusSays is what a status means for the money.
var statusSays = map[costing.ChangeStatus]string{
	"asked": "asked for, no price yet", "quoted": "quoted, not agreed", costing.Agreed: "agreed", "declined": "declined",
}

// changeStatuses are the statuses in their usual order.
var changeStatuses = []costing.ChangeStatus{"asked", "quoted", costing.Agreed, "declined"}

func toChange(key string) string { return "/change-orders/" + url.PathEscape(key) }

// changeOrdersPage lists all change orders, and loudly the work nobody agreed.
func (s *Server) changeOrdersPage(v *Visit) error { return s.owned(v, changeOrdersPage) }

func changeOrdersPage(g *ground) (*ownedPage, error) {
	books, err := g.books()
	if err != nil {
		return nil, err
	}
	hulls, err := review.Hulls(books, "")
	if err != nil {
		return nil, err
	}
	steps, err := g.lastSteps()
	if err != nil {
		return nil, err
	}
	slices.SortFunc(hulls, func(a, b *review.Hull) int { return strings.Compare(a.Hull.Key, b.Hull.Key) })
	t := g.table("orders", "Change orders", col("change", "Change"), col("hull", "Hull"), col("title", "What"), col("status", "Status"),
		numCol("price", "Price, "+g.currency.Code), numCol("estimate", "Estimated cost"), numCol("cost", "Spent"), numCol("seconds", "Time, h"),
		numCol("earns", "Price − dearer of the two"), numCol("days", "Days later"))
	t.Empty = "There are no change orders yet."
	var open []openChange
	var lost costing.Money
	for _, h := range hulls {
		for i := range h.Changes {
			c := &h.Changes[i]
			t.add(words(c.Key).to(g.link(toChange(c.Key))), figure{Value: h.Hull.Key, Text: nameOf(h.Hull), Href: g.toHull(h.Hull.Key)}, words(c.Title), statusFigure(c),
				g.cash(c.Price), g.cash(c.Estimate), g.cash(c.Cost), hoursOf(c.Seconds), g.earns(c), count(steps[c.Key].Days))
			if !c.Counts && c.Cost != 0 {
				lost += c.Cost
				open = append(open, g.openOne(h, c))
			}
		}
	}
	return &ownedPage{"change-orders.html", "Change orders", map[string]any{
		"AsOf": g.asOf(), "Table": t, "Open": open, "Lost": g.cash(lost), "May": mayEstimate(g.visit), "Hulls": keysInOrder(g.yard.Hulls), "Code": g.currency.Code,
	}}, nil
}

// lastSteps are the newest steps by change order.
func (g *ground) lastSteps() (map[string]models.ChangeStepRow, error) {
	rows, err := g.tx.ChangeSteps(g.ctx, "")
	last := map[string]models.ChangeStepRow{}
	for _, r := range rows {
		if r.AtMs <= g.figures.At {
			last[r.Change] = r
		}
	}
	return last, err
}

func statusFigure(c *review.Change) figure {
	f := words(string(c.Status))
	f.Note = strings.TrimPrefix(strings.TrimPrefix(statusSays[c.Status], string(c.Status)), ", ")
	if c.Counts && c.AgreedOn != nil {
		f.Note = review.DayName(*c.AgreedOn)
	}
	if !c.Counts && c.Cost != 0 {
		f.Class, f.Note = "loss", "built all the same"
	}
	return f
}

// earns is what a change leaves: its price less the dearer of estimate and
// cost; of one that isn't agreed, the cost is lost.
func (g *ground) earns(c *review.Change) figure {
	left := c.Price - max(c.Estimate, c.Cost)
	if !c.Counts {
		left = -c.Cost
	}
	f := g.cash(left)
	if left < 0 {
		f.Class = "adverse"
	}
	return f
}

func (g *ground) openOne(h *review.Hull, c *review.Change) openChange {
	o := openChange{Title: c.Key + ", " + c.Title + ", hull " + nameOf(h.Hull), Status: statusSays[c.Status], Price: g.cash(c.Price)}
	for _, j := range c.Jobs {
		o.Jobs = append(o.Jobs, openJob{
			jobName(j.Job), g.cash(j.Cost).to(g.toPostings(review.Target{Hull: h.Hull.Key, Job: j.Job.Key})), hoursOf(j.Seconds),
		})
	}
	return o
}

// changeOrderPage is one change order: price, cost, effect, history.
func (s *Server) changeOrderPage(v *Visit) error { return s.owned(v, changeOrderPage) }

func changeOrderPage(g *ground) (*ownedPage, error) {
	key := g.visit.Param("change")
	order := g.yard.Changes[key]
	if order == nil {
		return nil, models.Errorf(models.NotFound, "there is no change order %.40q", key)
	}
	books, err := g.books()
	if err != nil {
		return nil, err
	}
	list, err := review.Hulls(books, order.Hull)
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, models.Errorf(models.NotFound, "there is no hull %.40q", order.Hull)
	}
	h := list[0]
	c := &h.Changes[slices.IndexFunc(h.Changes, func(c review.Change) bool { return c.Key == key })]
	steps, err := g.tx.ChangeSteps(g.ctx, key)
	if err != nil {
		return nil, err
	}
	w := whatif.Books{Yard: g.yard, Day: g.figures.Day, Stated: books.Stated, Totals: books.Totals, Plan: books.Plan, Rows: books.Rows, Cells: books.Cells}
	e, err := w.Order(key)
	if err != nil {
		return nil, err
	}
	d := map[string]any{
		"AsOf": g.asOf(), "Key": key, "Title": order.Title, "Hull": figure{Text: nameOf(h.Hull), Href: g.toHull(h.Hull.Key)}, "Status": statusSays[order.Status],
		"Price": g.cash(c.Price), "Own": costing.FormatDecimal(order.Price), "Currency": h.Hull.PriceCurrency, "Foreign": h.Hull.PriceCurrency != g.currency.Code,
		"Estimate": g.cash(c.Estimate), "Cost": g.cash(c.Cost), "Hours": hoursOf(c.Seconds), "Earns": g.earns(c),
		"Loud": !c.Counts && c.Cost != 0, "Open": []openChange{g.openOne(h, c)}, "May": mayEstimate(g.visit), "Statuses": changeStatuses, "Now": order.Status,
		"Effect": g.effectTable(e), "Steps": g.stepsTable(steps), "Lines": g.orderLines(key), "Jobs": g.jobsTable("jobs", "Work on it, by job", books, h, func(j *costing.Job) bool { return j.Change == key }),
		"Here": toChange(key), "List": g.link("/change-orders"), "Today": g.figures.Day.String(), "Code": g.currency.Code, "Days": 0,
		"JobKeys": g.jobsFor(order), "Elements": []costing.Element{costing.Labour, costing.Material, costing.BoughtIn},
	}
	if len(steps) > 0 {
		d["Days"] = steps[len(steps)-1].Days
	}
	if err := g.dates(d, h.Hull, key, order, steps); err != nil {
		return nil, err
	}
	return &ownedPage{"change-order.html", key + ", " + order.Title, d}, nil
}

// dates says what the change does to the day the hull is due: all agreed orders
// move it, and this one would.
func (g *ground) dates(d map[string]any, h *costing.Hull, key string, order *costing.Change, steps []models.ChangeStepRow) error {
	if h.Due == nil {
		return nil
	}
	last, err := g.lastSteps()
	if err != nil {
		return err
	}
	others, own := 0, 0
	for k, c := range g.yard.Changes {
		if c.Hull == h.Key && k != key && c.Counts(g.figures.Day) {
			others += last[k].Days
		}
	}
	if len(steps) > 0 {
		own = steps[len(steps)-1].Days
	}
	d["Due"], d["Without"], d["With"] = review.DayName(*h.Due), review.DayName(*h.Due+costing.Date(others)), review.DayName(*h.Due+costing.Date(others+own))
	d["Agreed"] = order.Counts(g.figures.Day)
	return nil
}

// jobsFor are the jobs whose cost lines an order may have.
func (g *ground) jobsFor(order *costing.Change) []string {
	var keys []string
	for _, k := range keysInOrder(g.yard.Jobs) {
		j := g.yard.Jobs[k]
		if len(j.Shares) == 1 && j.Shares[0].Hull == order.Hull && (j.Change == "" || j.Change == order.Key) {
			keys = append(keys, k)
		}
	}
	return keys
}

func (g *ground) effectTable(e *whatif.Effect) *grid {
	t := g.table("effect", "The hull without this change and with it", col("what", "What"), numCol("without", "Without, "+g.currency.Code), numCol("with", "With it agreed"), numCol("moves", "Difference"))
	for _, row := range []struct {
		what string
		a, b costing.Money
	}{
		{"Agreed changes", e.Without.Changes, e.With.Changes},
		{"Estimate", e.Without.Estimate, e.With.Estimate},
		{"Cost at completion", e.Without.AtCompletion, e.With.AtCompletion},
		{"Margin", e.Without.Margin, e.With.Margin},
	} {
		diff := g.cash(row.b - row.a)
		if row.b > row.a {
			diff.Text = "+" + diff.Text
		}
		t.add(words(row.what), g.cash(row.a), g.cash(row.b), diff)
	}
	return t
}

func (g *ground) stepsTable(steps []models.ChangeStepRow) *grid {
	t := g.table("steps", "Its history", col("at", "When"), col("status", "Status"), numCol("price", "Price"), numCol("days", "Days later"), col("said", "By whose word"), col("why", "Why"), col("who", "Entered by"))
	t.Empty = "Its steps so far came with yard files and have no history here."
	for _, s := range slices.Backward(steps) {
		t.add(figure{Value: s.AtMs.String(), Text: s.AtMs.Time().Format("2006-01-02 15:04") + " UTC"}, words(s.Status), decimal(int64(s.Price)), count(s.Days),
			words(s.Said), words(s.Why), words(s.Who))
	}
	return t
}

// orderLines are the estimate lines that belong to an order.
func (g *ground) orderLines(key string) *grid {
	t := g.table("lines", "Cost lines", col("job", "Job"), col("element", "Element"), col("key", "Of what"), numCol("quantity", "Hours or net quantity"), numCol("waste", "Waste allowed"), numCol("rate", "Rate or price, "+g.currency.Code), numCol("cost", "Cost without overhead"))
	t.Empty = "Nobody has estimated what it costs yet."
	for i := range g.yard.Estimate {
		l := &g.yard.Estimate[i]
		if l.Change != key && (l.Change != "" || g.yard.Jobs[l.Job] == nil || g.yard.Jobs[l.Job].Change != key) {
			continue
		}
		t.add(words(l.Job), words(string(l.Element)), words(l.Key), decimal(int64(l.Quantity)), g.lineWaste(l.Element, l.Waste), decimal(int64(l.Rate)), g.lineCost(l))
	}
	return t
}

func (g *ground) lineCost(l *costing.EstimateLine) figure {
	m, err := costing.RoundRat(estimate.Cost(g.currency, l))
	if err != nil {
		return figure{}
	}
	return g.cash(costing.Money(m))
}
