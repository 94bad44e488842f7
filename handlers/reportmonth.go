package handlers

import (
	"hulltally/costing"
	"hulltally/costing/month"
	"hulltally/models"
)

// monthTable is the month end by hull: what the month cost and earned, and how
// the contract stands at its end. Without a period it is the month of the
// instant, up to it.
func monthTable(a *asked) (*Table, error) {
	period := a.Period
	if period == 0 {
		period = a.figures.Day.Period()
	}
	cost, err := a.figures.Cost()
	if err != nil {
		return nil, err
	}
	now, err := standings(cost)
	if err != nil {
		return nil, err
	}
	then, err := a.standingsBefore(period)
	if err != nil {
		return nil, err
	}
	t := a.table(text("hull", "hull"), money("cost_month", "cost, month"), money("cost_to_date", "cost to date"),
		money("to_complete", "to complete"), money("progress", "progress by cost"), money("revenue_month", "revenue, month"),
		money("revenue_to_date", "revenue to date"), money("profit_month", "profit, month"), money("profit_to_date", "profit to date"),
		money("billed", "billed"), money("contract_asset", "contract asset"), money("contract_liability", "contract liability"),
		money("loss_provision", "loss provision"), money("cost_of_sales", "cost of sales to date"), money("work_in_progress", "work in progress"),
		text("revenue_method", "revenue by"))
	t.Period = period.String()
	for i := range cost.Margins {
		m := &cost.Margins[i]
		if !a.wanted(m.Hull) {
			continue
		}
		s, was := now[m.Hull], then[m.Hull]
		t.Rows = append(t.Rows, []any{
			m.Hull, a.money(s.cost - was.cost), a.money(s.cost), a.money(m.ToComplete), share(s.Progress),
			a.money(s.Revenue - was.Revenue), a.money(s.Revenue), a.money(s.Profit - was.Profit), a.money(s.Profit),
			a.money(s.billed), a.money(max(s.Asset, 0)), a.money(max(-s.Asset, 0)), a.money(s.Provision),
			a.money(s.expensed), a.money(s.cost - s.expensed), string(month.ChoicesOf(cost.Yard, m.Hull).Revenue),
		})
	}
	return t, nil
}

type standing struct {
	month.Standing
	cost, billed, expensed costing.Money
}

func standings(cost *models.Cost) (map[string]standing, error) {
	rework := map[string]costing.Money{}
	for k, s := range cost.Totals.Cells {
		if k.Purpose == costing.Rework {
			rework[k.Hull] += s.Amount
		}
	}
	list := map[string]standing{}
	for i := range cost.Margins {
		m := &cost.Margins[i]
		c, s, err := month.StandingOf(cost.Yard, cost.Day, m, rework[m.Hull])
		if err != nil {
			return nil, err
		}
		list[m.Hull] = standing{s, m.Actual, c.Billed, month.Expensed(cost.Yard, cost.Day, m.Hull, m.Actual)}
	}
	return list, nil
}

// standingsBefore is how the contracts stood at the end of the month before: as
// that was signed, where it is closed, so that what changed since shows in this
// month.
func (a *asked) standingsBefore(period costing.Period) (map[string]standing, error) {
	y := a.figures.Yard
	last := (period.First() - 1).Period()
	if c, closed := y.Closes.Of(last, endOfTime); closed && a.At == 0 && c.Period == last {
		t, err := signedTable(a.ctx, a.tx, c, "month", "")
		if err != nil {
			return nil, err
		}
		if t != nil {
			return standingsOf(t)
		}
	}
	before, err := a.tx.Figures(a.ctx, period.First().At(0, y.Zone)-1)
	if err != nil {
		return nil, err
	}
	cost, err := before.Cost()
	if err != nil {
		return nil, err
	}
	return standings(cost)
}

// standingsOf reads standings from a month table as it was signed.
func standingsOf(t *Table) (map[string]standing, error) {
	list := map[string]standing{}
	for _, row := range t.Rows {
		var s standing
		hull := ""
		for i, c := range t.Columns {
			into := map[string]*costing.Money{
				"cost_to_date": &s.cost, "revenue_to_date": &s.Revenue, "profit_to_date": &s.Profit, "billed": &s.billed, "loss_provision": &s.Provision,
				"cost_of_sales": &s.expensed,
			}[c.Key]
			text, _ := row[i].(string)
			if c.Key == "hull" {
				hull = text
			}
			if into == nil {
				continue
			}
			v, err := costing.ParseDecimal(text)
			if err != nil {
				return nil, err
			}
			if *into, err = t.Currency.FromDecimal(v); err != nil {
				return nil, err
			}
		}
		list[hull] = s
	}
	return list, nil
}
