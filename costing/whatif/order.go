package whatif

import (
	"maps"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Effect is a hull's margin without a change order and with it, agreed on the
// day. Work already done on it is in both: it is spent either way.
type Effect struct{ Without, With forecast.Margin }

// Moves is by how much agreeing to it moves the margin.
func (e *Effect) Moves() costing.Money { return e.With.Margin - e.Without.Margin }

// Order reckons what a change order does to its hull.
func (b *Books) Order(change string) (*Effect, error) {
	c := b.Yard.Changes[change]
	if c == nil {
		return &Effect{}, nil
	}
	e := &Effect{}
	var err error
	if e.Without, err = b.with(c, "declined", nil); err != nil {
		return nil, err
	}
	day := b.Day
	e.With, err = b.with(c, costing.Agreed, &day)
	return e, err
}

func (b *Books) with(c *costing.Change, status costing.ChangeStatus, on *costing.Date) (forecast.Margin, error) {
	y := *b.Yard
	y.Changes = maps.Clone(b.Yard.Changes)
	as := *c
	as.Status, as.AgreedOn = status, on
	y.Changes[c.Key] = &as
	plan := estimate.Build(&y, b.Day)
	rows, err := variance.Rows(&y, plan, b.Stated, b.Totals)
	if err != nil {
		return forecast.Margin{}, err
	}
	cells, err := forecast.Cells(plan, b.Stated, rows)
	if err != nil {
		return forecast.Margin{}, err
	}
	return margin(&y, b.Day, c.Hull, rows, cells)
}
