package handlers

import (
	"math/big"

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
	before, err := a.tx.Figures(a.ctx, period.First().At(0, a.figures.Yard.Zone)-1)
	if err != nil {
		return nil, err
	}
	costBefore, err := before.Cost()
	if err != nil {
		return nil, err
	}
	then, err := standings(costBefore)
	if err != nil {
		return nil, err
	}
	t := a.table(text("hull", "hull"), money("cost_month", "cost, month"), money("cost_to_date", "cost to date"),
		money("to_complete", "to complete"), shareOf(money("progress", "progress by cost")), money("revenue_month", "revenue, month"),
		money("revenue_to_date", "revenue to date"), money("profit_month", "profit, month"), money("profit_to_date", "profit to date"),
		money("billed", "billed"), money("contract_asset", "contract asset"), money("contract_liability", "contract liability"),
		money("loss_provision", "loss provision"))
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
		})
	}
	return t, nil
}

type standing struct {
	month.Standing
	cost, billed costing.Money
}

func standings(cost *models.Cost) (map[string]standing, error) {
	billed := map[string]costing.Money{}
	for i := range cost.Yard.Billing {
		if b := &cost.Yard.Billing[i]; b.Date <= cost.Day {
			billed[b.Hull] += b.Amount
		}
	}
	list := map[string]standing{}
	for i := range cost.Margins {
		m := &cost.Margins[i]
		c := month.Contract{Price: m.Price + m.Changes, Cost: m.Actual, ToComplete: m.ToComplete, Billed: billed[m.Hull]}
		s, err := c.Standing()
		if err != nil {
			return nil, err
		}
		if s.Progress == nil {
			s.Progress = new(big.Rat)
		}
		list[m.Hull] = standing{s, m.Actual, billed[m.Hull]}
	}
	return list, nil
}
