package need_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/need"
)

const unit = costing.Million

// today is Monday 2 March 2026.
var today = costing.NewDate(2026, 3, 2)

// newYard has a hull due in 100 days with three stages of 50, 30 and 20 hours.
func newYard() *costing.Yard {
	due := today + 100
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2}, Hulls: map[string]*costing.Hull{"H1": {Key: "H1", Due: &due}},
		Stages: map[string]*costing.Stage{"A": {Key: "A", Order: 1}, "B": {Key: "B", Order: 2}, "C": {Key: "C", Order: 3}},
		Jobs:   map[string]*costing.Job{}, Changes: map[string]*costing.Change{"X": {Key: "X", Hull: "H1", Status: "quoted"}},
		Items: map[string]*costing.Item{
			"RES": {Key: "RES", StockUnit: costing.Kilogram},
			"KIT": {Key: "KIT", StockUnit: costing.Each},
		},
	}
	for stage, hours := range map[string]costing.Quantity{"A": 50, "B": 30, "C": 20} {
		job := "J" + stage
		y.Jobs[job] = &costing.Job{Key: job, Stage: stage, Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}}
		y.Estimate = append(y.Estimate, costing.EstimateLine{Job: job, Element: costing.Labour, Key: "g", Quantity: hours * unit},
			costing.EstimateLine{Job: job, Element: costing.Material, Key: "RES", Quantity: 100 * unit, Waste: 100_000})
	}
	y.Estimate = append(y.Estimate, costing.EstimateLine{Job: "JC", Change: "X", Element: costing.Material, Key: "RES", Quantity: 999 * unit},
		costing.EstimateLine{Job: "JC", Element: costing.Material, Key: "KIT", Quantity: 5 * unit, Waste: 50_000})
	return y
}

func drawn(y *costing.Yard, job, item string, q costing.Quantity) *costing.Totals {
	t := costing.NewTotals()
	t.Add(&costing.Posting{
		Hull: "H1", Stage: y.Jobs[job].Stage, Job: job, Element: costing.Material, Purpose: costing.Build, Detail: item, Quantity: q,
		Debit: costing.WorkInProgress, Credit: costing.Stock,
	})
	return t
}

// Worked by hand. Stage A has begun: 110 kg less the 60 issued are wanted now.
// Of 100 standard hours 50 lie before B, so B begins after half of the 100
// days, and C after 80. Stock of 70 kg serves A (50) and, where it keeps, 20 of
// B; what lapses before B is done with does not. The kits are whole.
func TestNeedByHand(t *testing.T) {
	y := newYard()
	soon := today + 30
	list, err := need.List(y, estimate.Build(y, today), nil, drawn(y, "JA", "RES", 60*unit), []need.Shelf{
		{Lot: "L1", Item: "RES", Left: 40 * unit, Best: &soon},
		{Lot: "L2", Item: "RES", Left: 30 * unit},
		{Lot: "L3", Item: "RES", Left: 500 * unit, Held: true},
	}, today)
	require.NoError(t, err)
	require.Len(t, list, 2)
	kit, res := list[0], list[1]
	assert.Equal(t, costing.Quantity(6*unit), kit.Weeks[0].ToOrder) // 5.25 kits
	assert.Equal(t, []costing.Quantity{70 * unit, 500 * unit}, []costing.Quantity{res.Usable, res.Unusable})
	require.Len(t, res.Weeks, 3)
	for i, want := range []struct {
		day                    costing.Date
		need, fromStock, order costing.Quantity
	}{{today, 50, 50, 0}, {today + 50, 110, 20, 90}, {today + 80, 110, 0, 110}} {
		w := res.Weeks[i]
		assert.Equal(t, want.day.Monday(), w.Monday)
		assert.Equal(t, want.day, w.Lines[0].Day)
		assert.Equal(t, []costing.Quantity{want.need * unit, want.fromStock * unit, want.order * unit}, []costing.Quantity{w.Need, w.FromStock, w.ToOrder}, i)
	}
	assert.Empty(t, res.Lapses)
}

// A lot that lapses before anybody wants it is told; past its date it is no stock.
func TestLapses(t *testing.T) {
	y := newYard()
	soon, past := today+10, today-1
	list, err := need.List(y, estimate.Build(y, today), estimate.Progress{"JA": 100}, costing.NewTotals(), []need.Shelf{
		{Lot: "L1", Item: "RES", Left: 40 * unit, Best: &past}, {Lot: "L2", Item: "RES", Left: 30 * unit, Best: &soon},
	}, today)
	require.NoError(t, err)
	res := list[1]
	assert.Equal(t, costing.Quantity(40*unit), res.Unusable)
	// With A done, B begins now and takes what its week leaves; it is half gone by then.
	assert.Equal(t, costing.Quantity(30*unit), res.Weeks[0].FromStock)
	list, err = need.List(y, estimate.Build(y, today), estimate.Progress{"JA": 100, "JB": 100}, drawn(y, "JC", "RES", 110*unit), []need.Shelf{
		{Lot: "L2", Item: "KIT", Left: 30 * unit, Best: &soon},
	}, today)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, "KIT", list[0].Item.Key)
}

// More issued than estimated expects nothing, never less than nothing; a job
// stated done expects nothing; an overdue hull wants everything now.
func TestNeverBelowNought(t *testing.T) {
	y := newYard()
	past := today - 5
	y.Hulls["H1"].Due = &past
	lines, err := need.Lines(y, estimate.Build(y, today), estimate.Progress{"JB": 100}, drawn(y, "JA", "RES", 500*unit), today)
	require.NoError(t, err)
	require.Len(t, lines, 2)
	for _, l := range lines {
		assert.Equal(t, "JC", l.Job.Key)
		assert.Equal(t, today, l.Day)
		assert.Positive(t, l.Quantity)
	}
}
