package handlers

import (
	"net/url"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/costing/stock"
	"hulltally/labels"
	"hulltally/models"
)

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

// lotPage is one lot: its movements in order, what each cost, and what should
// be left after it.
func (s *Server) lotPage(v *Visit) error { return s.owned(v, lotPage) }

func lotPage(g *ground) (*ownedPage, error) {
	story, err := g.tx.LotStory(g.ctx, g.figures, g.visit.Param("lot"))
	if err != nil {
		return nil, err
	}
	l, unit := story.Lot, story.Item.StockUnit
	facts := []fact{
		{"Item", figure{Value: l.Item, Text: story.Item.Name}},
		{"Received", words(g.moment(l.Received))},
		{"Quantity", amountOf(l.Quantity, unit)},
		{"Cost, " + g.currency.Code, g.cash(story.Cost)},
	}
	if l.SupplierBatch != "" {
		facts = append(facts, fact{"Supplier's batch", words(l.SupplierBatch)})
	}
	facts = append(facts, g.originFacts(l)...)
	if l.Expires != nil {
		facts = append(facts, fact{"Expires", words(review.DayName(*l.Expires))})
	}
	left := "What is left is worth, " + g.currency.Code
	if story.Pooled {
		left = "What all lots of the item hold is worth, " + g.currency.Code
	}
	facts = append(facts, fact{left, g.cash(story.Worth)})
	return &ownedPage{"lot.html", "Lot " + l.Key, map[string]any{
		"AsOf": g.asOf(), "Board": g.link("/board"), "Lot": l.Key, "Facts": facts, "Pooled": story.Pooled,
		"Print":    g.visit.toPrint(labels.SheetLots, "key", l.Key),
		"Invoices": g.invoicesTable(l), "Moves": g.movementsTable(story),
	}}, nil
}

// originFacts say what a lot came with or was cut from, and whether it is held.
func (g *ground) originFacts(l *costing.Lot) []fact {
	var facts []fact
	if d := g.yard.Deliveries[l.Delivery]; d != nil {
		facts = append(facts, fact{"Delivery", words(strings.TrimSpace(d.Key + " " + d.Supplier))})
	}
	if l.Parent != "" {
		facts = append(facts, fact{"Offcut of", figure{Value: l.Parent, Text: l.Parent, Href: g.link("/lot/" + url.PathEscape(l.Parent))}})
	}
	if h := l.HeldAt(g.figures.At); h != nil {
		facts = append(facts, fact{"In quarantine", words("since " + g.moment(h.At) + ": " + h.Why + " (" + h.Who + ")")})
	}
	return facts
}

// invoicesTable lists what restated the lot's cost.
func (g *ground) invoicesTable(l *costing.Lot) *grid {
	t := g.table("invoices", "Invoices that restated its cost", col("at", "When"), numCol("price", "Price, "+g.currency.Code), numCol("landed", "Landed share"))
	for _, inv := range l.Invoices {
		if inv.At > g.figures.At {
			continue
		}
		landed := l.Landed
		if inv.Landed != nil {
			landed = *inv.Landed
		}
		t.add(figure{Value: inv.At.String(), Text: g.moment(inv.At)}, g.cash(inv.Price), g.cash(landed))
	}
	return t
}

var moveNames = map[stock.Kind]string{
	stock.Receipt: "received", stock.Issue: "issued", stock.Return: "returned", stock.Waste: "waste weighed", stock.Scrap: "scrapped",
	stock.Difference: "counted", stock.Cut: "cut off as an offcut",
}

// movementsTable lists the movements with the running balance.
func (g *ground) movementsTable(story *models.LotStory) *grid {
	unit := story.Item.StockUnit
	t := g.table("movements", "Movements in order", col("at", "When"), col("movement", "Movement"), col("job", "Job"), numCol("read", "As read"),
		numCol("moved", "In or out"), numCol("balance", "Should be left"), numCol("amount", "Charged, "+g.currency.Code), col("note", "Note"))
	var charged costing.Money
	for i := range story.Movements {
		m := &story.Movements[i]
		kind := figure{Value: string(m.Kind), Text: moveNames[m.Kind]}
		switch {
		case m.Kind == stock.Receipt && story.Lot.Parent != "":
			kind.Text = "cut off " + story.Lot.Parent
		case m.Kind == stock.Receipt || m.Kind == stock.Difference:
		case m.Offcut != "":
			kind.Text, kind.Href = "cut off as "+m.Offcut, g.link("/lot/"+url.PathEscape(m.Offcut))
		case strings.HasPrefix(m.Source, "offcut "):
			kind.Text = "left over from the job"
		default:
			kind.Href = g.link("/booking/" + url.PathEscape(m.Source))
		}
		moved, amount := amountOf(-m.Drawn, unit), g.cash(m.Amount)
		if m.Kind == stock.Receipt {
			moved, amount = amountOf(m.Event.Quantity, unit), figure{}
		} else {
			charged += m.Amount
		}
		row := t.add(figure{Value: m.At.String(), Text: g.moment(m.At)}, kind, g.moveJob(m), amountOf(m.Event.Quantity, unit), moved,
			amountOf(m.Balance, unit), amount, words(moveNote(story, m)))
		row.ID = anchor(m.Source)
	}
	t.foot(words("Charged"), figure{}, figure{}, figure{}, figure{}, figure{}, g.cash(charged), figure{})
	return t
}

func (g *ground) moveJob(m *models.Movement) figure {
	j := g.yard.Jobs[m.Job]
	if j == nil {
		return words(m.Job)
	}
	f := figure{Value: j.Key, Text: j.Key + " " + j.Part}
	if len(j.Shares) > 0 {
		f.Href = g.toPostings(review.Target{Hull: j.Shares[0].Hull, Job: j.Key, Element: costing.Material, Detail: m.Item})
	}
	return f
}

func moveNote(story *models.LotStory, m *models.Movement) string {
	held := story.Lot.HeldAt(m.At)
	switch {
	case m.Kind == stock.Issue && held != nil:
		return "issued in quarantine: " + held.Why
	case m.OverBook:
		return "more than the book held"
	case len(m.Shares) == 1:
		return "the difference goes to the one job that drew on it"
	case len(m.Shares) > 1:
		return "the difference is divided over " + strconv.Itoa(len(m.Shares)) + " jobs"
	}
	return ""
}
