package handlers

import (
	"context"
	"net/url"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/models"
)

// monthView is a month's end as the pages and the pack look at it: as it was
// signed, or as it would be.
type monthView struct {
	ctx     context.Context
	tx      *models.Tx
	period  costing.Period
	close   *costing.Close // nil while the month is open
	closing *models.Closing
}

// viewMonth looks at a month; 0 is the first open one.
func viewMonth(ctx context.Context, tx *models.Tx, p costing.Period, now costing.Instant) (*monthView, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	if p == 0 {
		if p, err = tx.FirstOpen(ctx); err != nil {
			return nil, err
		}
		if p == 0 {
			p = costing.DateOf(now, snap.Yard.Zone).Period()
		}
	}
	v := &monthView{ctx: ctx, tx: tx, period: p}
	if c, closed := snap.Yard.Closes.Of(p, endOfTime); closed && c.Period == p {
		v.close = &c
	}
	v.closing, err = tx.Closing(ctx, p, now)
	return v, err
}

// table is one of the month's tables: as it was signed, or as it would be.
func (v *monthView) table(name string) (*Table, error) {
	if v.close != nil {
		t, err := signedTable(v.ctx, v.tx, *v.close, name, "")
		if err != nil || t != nil {
			return t, err
		}
	}
	return closingTable(v.ctx, v.tx, v.closing, name)
}

// step is something to do at a month's end.
type step struct {
	Name, Note, Who, Href, Do string
	Done, Look                bool
}

// monthEndPage is what to do at a month's end, in order, what is done, and by whom.
func (s *Server) monthEndPage(v *Visit) error {
	return s.owned(v, func(g *ground) (*ownedPage, error) { return s.monthEnd(g) })
}

func (s *Server) monthEnd(g *ground) (*ownedPage, error) {
	m, err := g.month(s)
	if err != nil {
		return nil, err
	}
	steps, err := g.steps(m)
	if err != nil {
		return nil, err
	}
	standing, err := m.table("month")
	if err != nil {
		return nil, err
	}
	overheads, err := m.table("overheads")
	if err != nil {
		return nil, err
	}
	choices, err := m.table("choices")
	if err != nil {
		return nil, err
	}
	asked, waits := g.yard.Closes.Asked()
	p := m.period.String()
	data := map[string]any{
		"Period": p, "Name": monthName(m.period), "Closed": m.close, "Steps": steps, "Refused": m.closing.Refused, "Look": m.closing.Look,
		"Latest": m.close != nil && g.yard.Closes.Through(endOfTime) == m.period, "Asked": waits, "AskedBy": asked.Who, "AskedWhy": asked.Why,
		"Me": g.visit.Caller.Name(), "Code": g.currency.Code,
		"Before": (m.period.First() - 1).Period().String(), "After": m.period.Next().String(),
		"Ties": g.tiesGrid(m), "Off": offTies(m), "Standing": g.ofTable("month", "Contracts at the end of "+monthName(m.period), standing),
		"Overheads": g.ofTable("overheads", "Overhead: actual against absorbed", overheads), "Choices": g.ofTable("choices", "Policy choices", choices),
		"Story": g.closesGrid(),
	}
	return &ownedPage{"month-end.html", "Month end " + p, data}, nil
}

func monthName(p costing.Period) string { return review.MonthName(p) + " " + strconv.Itoa(int(p/100)) }

// month is the month that the address names.
func (g *ground) month(s *Server) (*monthView, error) {
	var p costing.Period
	if text := g.query.Get("period"); text != "" {
		var err error
		if p, err = costing.ParsePeriod(text); err != nil {
			return nil, models.Errorf(models.Invalid, "period: %v", err)
		}
	}
	return viewMonth(g.ctx, g.tx, p, costing.InstantOf(s.now()))
}

// steps lists what to do, in order.
func (g *ground) steps(m *monthView) ([]step, error) {
	p := m.period.String()
	tables := func(name string) string { return "/month-end/table/" + name + "?period=" + p }
	report := func(name string) string { return "/reports/" + name + "?period=" + p }
	look := m.closing.Look
	list := []step{
		{Name: "Look through what is open, provisional or flagged", Done: m.close != nil || len(look) == 0, Look: m.close == nil && len(look) > 0, Href: report("hours"), Do: "Hours"},
		{Name: "Enter the invoices and purchases that belong to the month", Done: m.close != nil, Href: tables("valuation"), Do: "Stock valuation"},
		{Name: "Enter what overhead cost"},
		{Name: "The ties hold, or each difference is signed for", Done: true, Href: "#ties", Do: "Ties"},
		{Name: "Read the contracts and what came too late for closed months", Done: m.close != nil, Href: tables("adjustments"), Do: "Adjustments"},
		{Name: "Close the month", Done: m.close != nil, Href: "#close", Do: "Close"},
	}
	who, at, err := g.tx.EnteredBy(g.ctx, "overhead_actuals.csv", p)
	if err != nil {
		return nil, err
	}
	if who != "" {
		list[2].Done, list[2].Who = true, who+", "+g.moment(at)
	} else {
		list[2].Note = "overhead_actuals.csv has nothing for the month; time on indirect codes and overtime premium are known from the floor"
	}
	for i := range m.closing.Ties {
		if m.close == nil && m.closing.Ties[i].Open() != 0 {
			list[3].Done, list[3].Look = false, true
		}
	}
	if m.close != nil {
		list[5].Who = m.close.Who + ", " + g.moment(m.close.At)
	}
	for _, name := range exports {
		s := step{Name: "Give out: " + monthTableAbout[name], Href: tables(name), Do: "Open"}
		who, at, err := g.tx.LastDone(g.ctx, "exported", "table "+name+" of /month-end/table/"+name, p)
		if err != nil {
			return nil, err
		}
		if who != "" {
			s.Done, s.Who = true, who+", "+g.moment(at)
		}
		list = append(list, s)
	}
	s := step{Name: "Make the pack and hand it on", Href: "/month-end/pack.pdf?period=" + p, Do: "PDF"}
	if who, at, err = g.tx.LastDone(g.ctx, "packed", p, ""); err != nil {
		return nil, err
	}
	if who != "" {
		s.Done, s.Who = true, who+", "+g.moment(at)
	}
	return append(list, s), nil
}

// tieLines is where the lines of a tie are.
var tieLines = map[string]string{
	"ledger": "/month-end/table/journal", "paid cost": "/month-end/table/payroll", "paid time": "/month-end/table/payroll",
	"stock": "/month-end/table/valuation", "work in progress": "/reports/cost",
}

// tiesGrid holds the books against each other, each tie opening to its lines.
func (g *ground) tiesGrid(m *monthView) *grid {
	t := g.table("ties", "The ties: each should come to nought", col("tie", "Tie"), numCol("left", "One side"), numCol("right", "The other"),
		numCol("difference", "Difference"), numCol("carried", "Carried, signed before"), numCol("signed", "Signed for"), col("why", "Signed by, and why"))
	for i := range m.closing.Ties {
		tie := &m.closing.Ties[i]
		show := func(v int64) figure { return g.cash(costing.Money(v)) }
		if tie.Seconds {
			show = func(v int64) figure { return figure{Value: itoa(v), Text: review.People(itoa(v)), Note: "s"} }
		}
		why := ""
		for _, s := range tie.Signatures {
			if why != "" {
				why += "; "
			}
			why += s.Who + " (" + s.Period + "): " + s.Why
		}
		row := t.add(words(tie.Name).to(tieLines[tie.Name]+"?period="+m.period.String()), show(tie.Left), show(tie.Right), show(tie.Left-tie.Right),
			show(tie.Carried), show(tie.Signed), words(why))
		if tie.Open() != 0 {
			row.Class = "adverse"
		}
	}
	return t
}

// offTies are the ties that stand in the way, with the difference to sign for.
func offTies(m *monthView) []struct{ Name, Difference string } {
	var list []struct{ Name, Difference string }
	for i := range m.closing.Ties {
		t := &m.closing.Ties[i]
		if t.Open() == 0 {
			continue
		}
		off := itoa(t.Open())
		if !t.Seconds {
			off = m.closing.Figures.Yard.Currency.Format(costing.Money(t.Open()))
		}
		list = append(list, struct{ Name, Difference string }{t.Name, off})
	}
	return list
}

// closesGrid lists what was done to months.
func (g *ground) closesGrid() *grid {
	t := g.table("closes", "What was done to months", col("at", "When"), col("period", "Month"), col("kind", "Done"), col("who", "By"), col("second", "With"),
		col("why", "Why"), col("digest", "Seal of what was frozen"))
	t.Empty = "No month was closed yet."
	for i := len(g.yard.Closes) - 1; i >= 0; i-- {
		c := &g.yard.Closes[i]
		done := map[costing.CloseKind]string{costing.Closed: "closed", costing.AskReopen: "asked to open again", costing.Reopened: "opened again"}[c.Kind]
		seal := figure{Value: c.Digest, Text: c.Digest[:min(12, len(c.Digest))]}
		t.add(figure{Value: c.At.String(), Text: g.moment(c.At)}, words(c.Period.String()).to("/month-end?period="+c.Period.String()), words(done), words(c.Who),
			words(c.Second), words(c.Why), seal)
	}
	return t
}

// ofTable is a table of a report as a grid of the page.
func (g *ground) ofTable(id, caption string, t *Table) *grid {
	var columns []gridColumn
	for _, c := range t.Columns {
		columns = append(columns, gridColumn{Key: c.Key, Label: c.Label, Number: c.Number})
	}
	out := g.table(id, caption, columns...)
	for _, row := range t.Rows {
		cells := make([]figure, len(row))
		for i, v := range row {
			cells[i] = words(cell(v))
			if t.Columns[i].Number {
				cells[i].Text = review.People(cells[i].Text)
			}
			if href := cellHref(t.Columns[i].Key, cells[i].Value); href != "" {
				cells[i].Href = href
			}
		}
		out.add(cells...)
	}
	return out
}

// cellHref is where a cell of a month's table leads.
func cellHref(key, value string) string {
	if value == "" {
		return ""
	}
	switch key {
	case "hull":
		return "/hull/" + url.PathEscape(value)
	case "lot":
		return "/lot/" + url.PathEscape(value)
	case "source":
		if len(value) == 36 || len(value) > 11 && value[:11] == "correction " {
			return "/booking/" + url.PathEscape(value)
		}
	}
	return ""
}

// monthTablePage shows one of the month's tables, which it gives as CSV and XLSX.
func (s *Server) monthTablePage(v *Visit) error {
	return s.owned(v, func(g *ground) (*ownedPage, error) {
		name := v.Param("table")
		if monthTables[name] == nil {
			return nil, models.Errorf(models.NotFound, "the month's end has no table %.40q", name)
		}
		m, err := g.month(s)
		if err != nil {
			return nil, err
		}
		t, err := m.table(name)
		if err != nil {
			return nil, err
		}
		return &ownedPage{"month-table.html", monthTableAbout[name], map[string]any{
			"Period": m.period.String(), "Name": monthName(m.period), "About": monthTableAbout[name], "Closed": m.close, "Code": g.currency.Code,
			"Table": g.ofTable(name, monthTableAbout[name]+", "+monthName(m.period), t),
		}}, nil
	})
}
