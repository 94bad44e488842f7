package handlers

import (
	"strconv"

	"hulltally/costing"
)

// tiesTable holds each side of the books against another that was reckoned
// apart. Every difference should be nought.
func tiesTable(a *asked) (*Table, error) {
	t := a.table(text("tie", "tie"), money("left", "left"), money("right", "right"), money("difference", "difference"))
	from, to := a.span()
	ties, err := a.tx.Ties(a.ctx, a.figures, from, to)
	if err != nil {
		return nil, err
	}
	for _, tie := range ties {
		show := func(v int64) string { return a.money(costing.Money(v)) }
		if tie.Seconds {
			show = func(v int64) string { return strconv.FormatInt(v, 10) }
		}
		t.Rows = append(t.Rows, []any{tie.Name, show(tie.Left), show(tie.Right), show(tie.Left - tie.Right)})
	}
	sortRows(t.Rows, 1)
	return t, nil
}
