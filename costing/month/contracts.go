package month

import (
	"hulltally/costing"
	"hulltally/costing/forecast"
)

// Choices are the policies a contract's standing follows. They are those in
// force on the day the hull was signed, so that a contract has one method.
type Choices struct {
	Revenue costing.RevenueMethod
	// ReworkLeftOut takes the cost of rework for abnormal waste, which tells
	// nothing of progress (B19(a)).
	ReworkLeftOut bool
	// InstalledCount lets goods count as progress once they are installed;
	// otherwise they stay at cost, without margin.
	InstalledCount bool
}

// ChoicesOf are the choices that hold for a hull.
func ChoicesOf(y *costing.Yard, hull string) Choices {
	day := y.Hulls[hull].Signed
	return Choices{
		Revenue:        costing.RevenueMethod(y.Policy.Revenue.Or(day, string(costing.OverTime))),
		ReworkLeftOut:  y.Policy.Rework.Or(day, "counted") == "left_out",
		InstalledCount: y.Policy.InstalledGoods.Or(day, "apart") == "counted",
	}
}

// ContractOf is a hull's contract on a day. rework is its cost of rework to date.
func ContractOf(y *costing.Yard, day costing.Date, m *forecast.Margin, rework costing.Money) Contract {
	c := Contract{Price: m.Price + m.Changes, Cost: m.Actual, ToComplete: m.ToComplete}
	for i := range y.Billing {
		if b := &y.Billing[i]; b.Hull == m.Hull && b.Date <= day {
			c.Billed += b.Amount
		}
	}
	choices := ChoicesOf(y, m.Hull)
	if choices.ReworkLeftOut {
		c.Abnormal = rework
	}
	for i := range y.Uninstalled {
		u := &y.Uninstalled[i]
		if u.Hull != m.Hull || choices.InstalledCount && u.Installed != nil && *u.Installed <= day {
			continue
		}
		delivered, known := deliveredBy(y, u, day)
		c.Uninstalled += delivered
		if !known {
			delivered = u.Expected
		}
		c.UninstalledTotal += delivered
	}
	return c
}

// deliveredBy is what the goods cost, once they have come.
func deliveredBy(y *costing.Yard, u *costing.Uninstalled, day costing.Date) (cost costing.Money, come bool) {
	for i := range y.Bought {
		b := &y.Bought[i]
		if b.Document == u.Document && b.Hull == u.Hull && b.Stage == u.Stage && b.Description == u.Description && b.Date <= day {
			cost, come = cost+b.Amount, true
		}
	}
	return cost, come
}

// StandingOf is how a hull's contract stands on a day, by the method chosen.
func StandingOf(y *costing.Yard, day costing.Date, m *forecast.Margin, rework costing.Money) (Contract, Standing, error) {
	c := ContractOf(y, day, m, rework)
	if ChoicesOf(y, m.Hull).Revenue == costing.AtHandover {
		handed, done := y.Handovers[m.Hull]
		s, err := c.AtHandover(done && handed <= day)
		return c, s, err
	}
	s, err := c.Standing()
	return c, s, err
}

// Expensed is the part of the cost to date that has become cost of sales; the
// rest is work in progress. Over time it is all of it.
func Expensed(y *costing.Yard, day costing.Date, hull string, cost costing.Money) costing.Money {
	if ChoicesOf(y, hull).Revenue == costing.OverTime {
		return cost
	}
	if handed, done := y.Handovers[hull]; done && handed <= day {
		return cost
	}
	return 0
}
