package handlers

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/month"
	"hulltally/costing/review"
	"hulltally/models"
)

// monthTables are the tables of a month's end beyond the reports: each is made
// of the books of the month, signed with its close, put in the pack and given
// as a file.
var monthTables = map[string]func(*asked) (*Table, error){
	"payroll": payrollTable, "journal": journalTable, "valuation": valuationTable, "adjustments": adjustmentsTable,
	"overheads": overheadsTable, "rates": ratesTable, "bridge": bridgeRows, "changes": changesTable, "choices": choicesTable,
}

// monthTableNames lists them in the order people meet them.
var monthTableNames = []string{"payroll", "journal", "valuation", "adjustments", "overheads", "rates", "bridge", "changes", "choices"}

// exports are the tables for other systems.
var exports = []string{"payroll", "journal", "valuation"}

// monthTableAbout says in a line what a table of the month's end tells.
var monthTableAbout = map[string]string{
	"payroll":     "Hours and pay by person, day and band",
	"journal":     "Double entries of the month, on the yard's own accounts",
	"valuation":   "Stock by item and lot, with quantity and value",
	"adjustments": "What came too late for a closed month, and is booked in this one",
	"overheads":   "Overhead: actual against absorbed, and why they differ",
	"rates":       "Absorption rates, and what this year's figures suggest for the next",
	"bridge":      "The way from the margin signed for to the margin forecast, hull by hull",
	"changes":     "Change orders and their state",
	"choices":     "Policy choices in force, with the day they hold from",
}

func monthBuilder(name string) func(*asked) (*Table, error) {
	if build := monthTables[name]; build != nil {
		return build
	}
	return reports[name]
}

// payrollTable is what other payroll programs are told: hours by person, day
// and band. What is paid for a day of a closed month puts that month right.
// People are known by number: what is signed stays, a name may have to go.
func payrollTable(a *asked) (*Table, error) {
	t := a.table(text("worker", "Worker"), text("date", "Day"), text("band", "Band"), text("kind", "Kind"),
		number("hours", "Hours"), number("seconds", "Seconds"), money("base", "Base"), money("on_cost", "On-cost"), money("premium", "Premium"),
		number("provisional", "Provisional s"))
	from, to := a.span()
	list, err := a.tx.Payroll(a.ctx, a.figures, from, to)
	if err != nil {
		return nil, err
	}
	for i := range list {
		p := &list[i]
		kind := "pay"
		if p.Adjusts {
			kind = "adjustment"
		}
		t.Rows = append(t.Rows, []any{
			p.Worker, p.Date.String(), string(p.Band), kind, hoursText(p.Seconds), p.Seconds, a.money(p.Base),
			a.money(p.OnCost + p.PremiumOnCost), a.money(p.Premium), p.Provisional,
		})
	}
	return t, nil
}

// valuationTable is the stock by item and lot, worth what the books say.
func valuationTable(a *asked) (*Table, error) {
	s, err := stockTable(a)
	if err != nil {
		return nil, err
	}
	t := a.table(text("item", "Item"), text("name", "Name"), text("lot", "Lot"), text("unit", "Unit"), number("quantity", "Quantity"), money("value", "Value"),
		text("method", "Costed by"))
	for _, row := range s.Rows {
		item := a.figures.Yard.Items[row[0].(string)]
		t.Rows = append(t.Rows, []any{row[0], item.Name, row[1], string(item.StockUnit), row[7], row[8], string(item.CostMethod)})
	}
	return t, nil
}

// adjustmentsTable lists what the month has of closed ones: each with what it
// adjusts.
func adjustmentsTable(a *asked) (*Table, error) {
	t := a.table(text("source", "Came from"), text("about", "What it is"), text("of", "Month adjusted"), text("hull", "Hull"), text("stage", "Stage"), text("job", "Job"),
		text("element", "Element"), text("detail", "Detail"), text("debit", "Debit"), text("credit", "Credit"), number("seconds", "Seconds"),
		money("was", "Frozen"), money("is", "As known now"), money("amount", "Adjustment"))
	list, err := a.tx.Adjusted(a.ctx, a.figures, a.Period)
	if err != nil {
		return nil, err
	}
	for i := range list {
		p := &list[i]
		if !a.wanted(p.Hull) {
			continue
		}
		of := ""
		if p.Of != 0 {
			of = p.Of.String()
		}
		t.Rows = append(t.Rows, []any{
			p.Source, p.About, of, p.Hull, p.Stage, p.Job, string(p.Element), p.Detail, string(p.Debit), string(p.Credit), p.Seconds,
			a.money(p.Was), a.money(p.Is), a.money(p.Amount),
		})
	}
	return t, nil
}

// bridgeRows are the steps of every hull's bridge.
func bridgeRows(a *asked) (*Table, error) {
	t := a.table(text("hull", "Hull"), text("step", "Step"), money("effect", "Effect"), money("margin", "Margin after it"))
	cost, err := a.figures.Cost()
	if err != nil {
		return nil, err
	}
	hulls, err := review.Hulls(cost.Review(), "")
	if err != nil {
		return nil, err
	}
	for _, h := range hulls {
		if !a.wanted(h.Hull.Key) {
			continue
		}
		br := h.Bridge()
		t.Rows = append(t.Rows, []any{h.Hull.Key, "Margin signed for", nil, a.money(br.Signed)})
		for _, s := range br.Steps {
			t.Rows = append(t.Rows, []any{h.Hull.Key, s.Theme.Label(), a.money(s.Gain), a.money(s.To)})
		}
		t.Rows = append(t.Rows, []any{h.Hull.Key, "Margin forecast", nil, a.money(br.Forecast)})
	}
	slices.SortStableFunc(t.Rows, func(x, y []any) int { return strings.Compare(x[0].(string), y[0].(string)) })
	return t, nil
}

// changesTable lists the change orders.
func changesTable(a *asked) (*Table, error) {
	t := a.table(text("hull", "Hull"), text("change", "Change"), text("title", "Title"), text("status", "Status"), text("agreed", "Agreed"), money("price", "Price"))
	y := a.figures.Yard
	for _, key := range slices.Sorted(maps.Keys(y.Changes)) {
		c := y.Changes[key]
		if !a.wanted(c.Hull) {
			continue
		}
		h := y.Hulls[c.Hull]
		price, err := y.Currency.Convert(c.Price, h.PriceRate)
		if err != nil {
			return nil, err
		}
		agreed := ""
		if c.AgreedOn != nil {
			agreed = c.AgreedOn.String()
		}
		t.Rows = append(t.Rows, []any{c.Hull, key, c.Title, string(c.Status), agreed, a.money(price)})
	}
	sortRows(t.Rows, 2)
	return t, nil
}

// choicesTable names the policy choices of the month's end, with their dates.
func choicesTable(a *asked) (*Table, error) {
	t := a.table(text("choice", "Choice"), text("from", "From"), text("value", "Is"), text("means", "Means"))
	p := &a.figures.Yard.Policy
	add := func(name string, dated costing.Dated[string], def string, means map[string]string) {
		if len(dated) == 0 || dated[0].From > costing.FromStart {
			t.Rows = append(t.Rows, []any{name, "", def, means[def]})
		}
		for _, v := range dated {
			from := ""
			if v.From > costing.FromStart {
				from = v.From.String()
			}
			t.Rows = append(t.Rows, []any{name, from, v.Value, means[v.Value]})
		}
	}
	add("revenue", p.Revenue, string(costing.OverTime), map[string]string{
		"over_time": "by cost, as the work is done (IFRS 15 B18-B19)", "at_handover": "at one point, when the hull is handed over (IFRS 15.38)",
	})
	add("rework_in_progress", p.Rework, "counted", map[string]string{
		"counted": "rework counts as progress", "left_out": "rework is abnormal waste: a cost, and no progress (IFRS 15 B19(a))",
	})
	add("installed_goods", p.InstalledGoods, "apart", map[string]string{
		"apart": "goods of uninstalled.csv earn no margin (IFRS 15 B19(b))", "counted": "they count as progress from the day they are installed",
	})
	return t, nil
}

// overheads gathers the overhead of the months from one to another.
func (a *asked) overheads(from, to costing.Period) (o month.Overheads, err error) {
	y := a.figures.Yard
	for k, m := range a.figures.Totals.Ledger {
		if k.Period < from || k.Period > to {
			continue
		}
		switch {
		case k.Account.IsOverhead():
			o.Actual += m
		case k.Account == costing.OverheadAbsorbed:
			o.Absorbed -= m
		}
	}
	for k, s := range a.figures.Totals.Cells {
		if k.Period >= from && k.Period <= to && k.Element == costing.Labour {
			o.Hours += s.Seconds
		}
	}
	for _, actual := range y.OverheadActuals {
		if actual.Period >= from && actual.Period <= to {
			o.Actual += actual.Amount
		}
	}
	if o.Allowed, err = a.overheadAllowed(from, to, o.Absorbed); err != nil {
		return o, err
	}
	months := int64(0)
	for p := from; p <= to; p = p.Next() {
		months++
	}
	for _, b := range y.OverheadBudget {
		if b.Year != int(to/100) {
			continue
		}
		variable, err := costing.MulRound(int64(b.Amount), int64(b.Variable), costing.Million)
		if err != nil {
			return o, err
		}
		o.Fixed += b.Amount - costing.Money(variable)
		o.Variable += costing.Money(variable)
		o.PlannedHours += int64(b.Hours) / (costing.Million / 1000) * 3600 / 1000
	}
	fixed, err := costing.MulRound(int64(o.Fixed), months, 12)
	o.Fixed = costing.Money(fixed)
	return o, err
}

// overheadAllowed is what the months' hours allowed would have absorbed: of all
// that was absorbed, less what hulls were charged beyond the allowed.
func (a *asked) overheadAllowed(from, to costing.Period, absorbed costing.Money) (costing.Money, error) {
	beyond, err := overheadBeyond(a.figures)
	if err != nil {
		return 0, err
	}
	before, err := a.beyondBefore((from.First() - 1).Period())
	return absorbed - (beyond - before), err
}

// beyondLine is a line of the overheads table.
const beyondLine = "Charged beyond the allowed, since the start"

// beyondBefore is overheadBeyond at the end of a month before, as it was signed
// where it is closed.
func (a *asked) beyondBefore(p costing.Period) (costing.Money, error) {
	y := a.figures.Yard
	if c, closed := y.Closes.Of(p, endOfTime); closed && c.Period == p {
		t, err := signedTable(a.ctx, a.tx, c, "overheads", "")
		if err != nil || t == nil {
			return 0, err
		}
		for _, row := range t.Rows {
			if row[0] == beyondLine {
				v, err := costing.ParseDecimal(cell(row[1]))
				if err != nil {
					return 0, err
				}
				return y.Currency.FromDecimal(v)
			}
		}
		return 0, nil
	}
	before, err := a.tx.Figures(a.ctx, p.Next().First().At(0, y.Zone)-1)
	if err != nil {
		return 0, err
	}
	return overheadBeyond(before)
}

// overheadBeyond is what hulls were charged to date for overhead beyond what
// their progress allows.
func overheadBeyond(f *models.Figures) (beyond costing.Money, err error) {
	cost, err := f.Cost()
	if err != nil {
		return 0, err
	}
	for i := range cost.Rows {
		if r := &cost.Rows[i]; r.Element == costing.Overhead && !r.Purpose.Apart() {
			beyond += r.Actual - r.Allowed
		}
	}
	return beyond, nil
}

// overheadsTable is overhead this month and this year so far.
func overheadsTable(a *asked) (*Table, error) {
	t := a.table(text("line", "Line"), money("month", "Month"), money("year", "Year so far"))
	p := a.Period
	if p == 0 {
		p = a.figures.Day.Period()
	}
	now, err := a.overheads(p, p)
	if err != nil {
		return nil, err
	}
	year, err := a.overheads(p/100*100+1, p)
	if err != nil {
		return nil, err
	}
	v, err := now.Variances()
	if err != nil {
		return nil, err
	}
	vy, err := year.Variances()
	if err != nil {
		return nil, err
	}
	for _, row := range []struct {
		line        string
		month, year costing.Money
	}{
		{"Actual overhead", now.Actual, year.Actual},
		{"Absorbed by hulls", now.Absorbed, year.Absorbed},
		{"Under-absorbed (below nought: over)", v.Under, vy.Under},
		{"of it spending", v.Spending, vy.Spending},
		{"of it volume", v.Volume, vy.Volume},
		{"Allowed for the progress made", now.Allowed, year.Allowed},
		{"Efficiency, borne by the hulls", v.Efficiency, vy.Efficiency},
	} {
		t.Rows = append(t.Rows, []any{row.line, a.money(row.month), a.money(row.year)})
	}
	beyond, err := overheadBeyond(a.figures)
	if err != nil {
		return nil, err
	}
	t.Rows = append(t.Rows, []any{beyondLine, a.money(beyond), nil})
	t.Rows = append(t.Rows, []any{"Direct hours", hoursText(now.Hours), hoursText(year.Hours)})
	accounts := map[string][2]costing.Money{}
	count := func(name string, q costing.Period, m costing.Money) {
		s := accounts[name]
		if q == p {
			s[0] += m
		}
		if q >= p/100*100+1 && q <= p {
			s[1] += m
		}
		accounts[name] = s
	}
	for k, m := range a.figures.Totals.Ledger {
		if k.Account.IsOverhead() {
			count("Actual: "+strings.TrimPrefix(string(k.Account), "overhead: "), k.Period, m)
		}
	}
	for _, actual := range a.figures.Yard.OverheadActuals {
		count("Actual: "+actual.Account, actual.Period, actual.Amount)
	}
	for _, name := range slices.Sorted(maps.Keys(accounts)) {
		t.Rows = append(t.Rows, []any{name, a.money(accounts[name][0]), a.money(accounts[name][1])})
	}
	return t, nil
}

func hoursText(seconds int64) string {
	v, err := costing.MulRound(seconds, 100, 3600)
	if err != nil {
		return fmt.Sprint(seconds)
	}
	return costing.FormatDecimal(v * 10_000)
}

// ratesTable is each stage's absorption rate and what the year suggests.
func ratesTable(a *asked) (*Table, error) {
	t := a.table(text("stage", "Stage"), text("name", "Name"), money("rate", "Rate an hour"), money("suggested", "Suggested for next year"))
	p := a.Period
	if p == 0 {
		p = a.figures.Day.Period()
	}
	year, err := a.overheads(p/100*100+1, p)
	if err != nil {
		return nil, err
	}
	for _, key := range slices.Sorted(maps.Keys(a.figures.Yard.Stages)) {
		s := a.figures.Yard.Stages[key]
		rate, ok := s.Absorption.On(a.figures.Day)
		if !ok {
			continue
		}
		suggested, err := year.Suggested(rate)
		if err != nil {
			return nil, err
		}
		t.Rows = append(t.Rows, []any{key, s.Name, costing.FormatDecimal(int64(rate)), costing.FormatDecimal(int64(suggested))})
	}
	return t, nil
}
