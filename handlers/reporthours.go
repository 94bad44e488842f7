package handlers

import (
	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// hoursRow is one worker's ISO week.
type hoursRow struct {
	worker, week                string
	bands                       map[clock.Band]int64
	base, onCost, premium       costing.Money
	jobs, indirect, provisional int64
}

// hoursTable is what payroll is told: time by pay band and what it cost. The
// on-cost of a premium, where the policy has one, is in on_cost.
func hoursTable(a *asked) (*Table, error) {
	rows := map[[2]string]*hoursRow{}
	add := func(p *models.Pay) {
		k := [2]string{p.Worker, p.Date.Week()}
		r := rows[k]
		if r == nil {
			r = &hoursRow{worker: k[0], week: k[1], bands: map[clock.Band]int64{}}
			rows[k] = r
		}
		r.bands[p.Band] += p.Seconds
		r.base += p.Base
		r.onCost += p.OnCost + p.PremiumOnCost
		r.premium += p.Premium
		r.jobs += p.Booked
		r.indirect += p.Indirect
		r.provisional += p.Provisional
	}
	if err := a.paid(add); err != nil {
		return nil, err
	}
	t := a.table(text("worker", "worker"), text("week", "week"), number("seconds.ordinary", "ordinary s"),
		number("seconds.overtime", "overtime s"), number("seconds.double", "double s"), money("base", "base"),
		money("on_cost", "on-cost"), money("premium", "premium"), number("jobs", "jobs s"), number("indirect", "indirect s"),
		number("provisional", "provisional s"))
	for _, r := range rows {
		t.Rows = append(t.Rows, []any{
			r.worker, r.week, r.bands[clock.Ordinary], r.bands[clock.Overtime], r.bands[clock.Double],
			a.money(r.base), a.money(r.onCost), a.money(r.premium), r.jobs, r.indirect, r.provisional,
		})
	}
	sortRows(t.Rows, 2)
	return t, nil
}

// paid hands over what is paid in the days of the report; for one hull it is
// the time worked on its jobs.
func (a *asked) paid(do func(*models.Pay)) error {
	from, to := a.span()
	if a.Hull != "" {
		return a.tx.Pieces(a.figures, from, to, func(p *clock.Piece) error {
			if a.workedFor(p) {
				pay := models.PayOf(p)
				do(&pay)
			}
			return nil
		})
	}
	list, err := a.tx.Payroll(a.ctx, a.figures, from, to)
	for i := range list {
		do(&list[i])
	}
	return err
}

// workedFor reports whether a piece is for the hull asked for, if one is.
func (a *asked) workedFor(p *clock.Piece) bool {
	if a.Hull == "" {
		return true
	}
	job := a.figures.Yard.Jobs[p.Job]
	if job == nil {
		return false
	}
	for _, s := range job.Shares {
		if s.Hull == a.Hull {
			return true
		}
	}
	return false
}
