package models

import (
	"hulltally/costing"
	"hulltally/costing/clock"
)

// postingColumns are postings on their way into the database.
type postingColumns struct {
	unit, source, date, debit, credit, hull, stage, job, element, purpose, detail []string
	seq, period, seconds, quantity, net, waste, amount                            []int64
}

func (c *postingColumns) add(unit string, seq int, p *costing.Posting) {
	c.unit = append(c.unit, unit)
	c.seq = append(c.seq, int64(seq))
	c.source = append(c.source, p.Source)
	c.date = append(c.date, p.Date.String())
	c.period = append(c.period, int64(p.Period()))
	c.debit = append(c.debit, string(p.Debit))
	c.credit = append(c.credit, string(p.Credit))
	c.hull = append(c.hull, p.Hull)
	c.stage = append(c.stage, p.Stage)
	c.job = append(c.job, p.Job)
	c.element = append(c.element, string(p.Element))
	c.purpose = append(c.purpose, string(p.Purpose))
	c.detail = append(c.detail, p.Detail)
	c.seconds = append(c.seconds, p.Seconds)
	c.quantity = append(c.quantity, int64(p.Quantity))
	c.net = append(c.net, int64(p.Net))
	c.waste = append(c.waste, int64(p.Waste))
	c.amount = append(c.amount, int64(p.Amount))
}

func (c *postingColumns) columns() []Column {
	return []Column{
		{"unit", c.unit},
		{"seq", c.seq},
		{"source", c.source},
		{"date", c.date},
		{"period", c.period},
		{"debit", c.debit},
		{"credit", c.credit},
		{"hull", c.hull},
		{"stage", c.stage},
		{"job", c.job},
		{"element", c.element},
		{"purpose", c.purpose},
		{"detail", c.detail},
		{"seconds", c.seconds},
		{"quantity", c.quantity},
		{"net", c.net},
		{"waste", c.waste},
		{"amount", c.amount},
	}
}

// pieceColumns are pieces on their way into the database.
type pieceColumns struct {
	unit, worker, opened, closed, station, date, band, job, indirect []string
	seq, start, seconds, provisional, noRate                         []int64
	base, onCost, premium, premiumOnCost, overhead                   []int64
}

func (c *pieceColumns) add(unit string, seq int, p *clock.Piece) {
	c.unit = append(c.unit, unit)
	c.seq = append(c.seq, int64(seq))
	c.worker = append(c.worker, p.Worker)
	c.opened = append(c.opened, p.Opened)
	c.closed = append(c.closed, p.Closed)
	c.station = append(c.station, p.Station)
	c.date = append(c.date, p.Date.String())
	c.start = append(c.start, p.Start)
	c.seconds = append(c.seconds, p.Seconds)
	c.band = append(c.band, string(p.Band))
	c.job = append(c.job, p.Job)
	c.indirect = append(c.indirect, p.Indirect)
	c.provisional = append(c.provisional, number(p.Provisional))
	c.noRate = append(c.noRate, number(p.NoRate))
	c.base = append(c.base, int64(p.Base))
	c.onCost = append(c.onCost, int64(p.OnCost))
	c.premium = append(c.premium, int64(p.Premium))
	c.premiumOnCost = append(c.premiumOnCost, int64(p.PremiumOnCost))
	c.overhead = append(c.overhead, int64(p.Overhead))
}

func (c *pieceColumns) columns() []Column {
	return []Column{
		{"unit", c.unit},
		{"seq", c.seq},
		{"worker", c.worker},
		{"opened", c.opened},
		{"closed", c.closed},
		{"station", c.station},
		{"date", c.date},
		{"start_s", c.start},
		{"seconds", c.seconds},
		{"band", c.band},
		{"job", c.job},
		{"indirect", c.indirect},
		{"provisional", c.provisional},
		{"no_rate", c.noRate},
		{"base", c.base},
		{"on_cost", c.onCost},
		{"premium", c.premium},
		{"premium_on_cost", c.premiumOnCost},
		{"overhead", c.overhead},
	}
}

func number(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
