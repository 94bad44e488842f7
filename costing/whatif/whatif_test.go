package whatif_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
	"hulltally/costing/whatif"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const unit = costing.Million

// books is a hull H1 half built beside a hull it shares a job with.
func books(t require.TestingT, progress, seconds int64, material costing.Money) *whatif.Books {
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Hulls: map[string]*costing.Hull{
			"H1": {Key: "H1", Price: 100_000 * unit, PriceCurrency: "GBP", PriceRate: 1_155_000, Signed: 10}, "H2": {Key: "H2", Signed: 10, PriceRate: unit},
		},
		Grades: map[string]costing.Dated[costing.Price]{"fitter": always[costing.Price](31 * unit)},
		Items:  map[string]*costing.Item{"RES": {Key: "RES", StockUnit: costing.Kilogram}},
		Stages: map[string]*costing.Stage{
			"LAM": {Key: "LAM", Order: 1, Absorption: always[costing.Price](14 * unit)}, "FIT": {Key: "FIT", Order: 2, Absorption: always[costing.Price](11 * unit)},
		},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "LAM", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
			"J2": {Key: "J2", Stage: "FIT", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}},
			"J3": {Key: "J3", Stage: "FIT", Purpose: costing.ForOrder, Change: "X", Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
		},
		Changes: map[string]*costing.Change{"X": {Key: "X", Hull: "H1", Price: 1_000 * unit, Status: "quoted"}},
		Estimate: []costing.EstimateLine{
			{Job: "J1", Element: costing.Labour, Key: "fitter", Quantity: 100 * unit, Rate: 30 * unit},
			{Job: "J1", Element: costing.Material, Key: "RES", Quantity: 200 * unit, Waste: 100_000, Rate: 5 * unit},
			{Job: "J2", Element: costing.Labour, Key: "fitter", Quantity: 60 * unit, Rate: 30 * unit},
			{Job: "J2", Element: costing.BoughtIn, Key: "Rig", Quantity: unit, Rate: 9_000 * unit},
			{Job: "J3", Element: costing.Labour, Key: "fitter", Quantity: 10 * unit, Rate: 30 * unit},
		},
	}
	totals := costing.NewTotals()
	for el, s := range map[costing.Element]costing.Sums{
		costing.Labour:   {Seconds: seconds, Amount: costing.Money(seconds) * 3000 / 3600},
		costing.Overhead: {Amount: costing.Money(seconds) * 1400 / 3600},
		costing.Material: {Amount: material},
	} {
		totals.Cells[costing.Cell{Hull: "H1", Stage: "LAM", Element: el, Purpose: costing.Build, Period: 1}] = s
	}
	totals.Fine[costing.Fine{Hull: "H1", Job: "J1", Element: costing.Labour, Detail: "fitter", Period: 1}] = costing.Sums{Seconds: seconds}
	totals.Fine[costing.Fine{Hull: "H1", Job: "J1", Element: costing.Material, Detail: "RES", Period: 1}] = costing.Sums{Amount: material, Quantity: 1, Net: 1}
	b := &whatif.Books{Yard: y, Day: 100, Stated: estimate.Progress{"J1": int(progress)}, Totals: totals}
	b.Plan = estimate.Build(y, b.Day)
	var err error
	b.Rows, err = variance.Rows(y, b.Plan, b.Stated, totals)
	require.NoError(t, err)
	b.Cells, err = forecast.Cells(b.Plan, b.Stated, b.Rows)
	require.NoError(t, err)
	return b
}

func reported(t require.TestingT, b *whatif.Books) forecast.Margin {
	list, err := forecast.Margins(b.Yard, b.Day, b.Rows, b.Cells)
	require.NoError(t, err)
	return list[0]
}

// With nothing changed the answer is the report's, to the cent, whatever the
// hull's state; and what each lever does adds up over the stages.
func TestNothingChanged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := books(t, rapid.Int64Range(0, 4).Draw(t, "progress")*25, rapid.Int64Range(0, 900_000).Draw(t, "seconds"), costing.Money(rapid.Int64Range(0, 200_000).Draw(t, "material")))
		a, err := b.Ask("H1", whatif.None())
		require.NoError(t, err)
		assert.Equal(t, reported(t, b), a.Base)
		assert.Equal(t, a.Base, a.New)
		lv := whatif.None()
		share := rapid.Int64Range(500_000, 2_000_000)
		lv.Hours, lv.Rates, lv.Prices = costing.Share(share.Draw(t, "hours")), costing.Share(share.Draw(t, "rates")), costing.Share(share.Draw(t, "prices"))
		lv.Stages["FIT"] = whatif.Stage{Hours: costing.Share(share.Draw(t, "fit")), Afloat: costing.Share(rapid.Int64Range(0, unit).Draw(t, "afloat"))}
		a, err = b.Ask("H1", lv)
		require.NoError(t, err)
		var sum, base costing.Money
		for _, s := range a.Stages {
			sum += s.NewAtCompletion
			base += s.AtCompletion
		}
		assert.Equal(t, a.New.AtCompletion, sum)
		assert.Equal(t, a.Base.AtCompletion, base)
		assert.Equal(t, a.Base.Actual, a.New.Actual, "what is spent is spent")
	})
}

// The levers, each by hand. Nothing is done yet: LAM 100 h × (30 + 14) and
// 200 kg × 1.1 × 5; FIT two thirds of 60 h × (30 + 11) and of 9,000.
func TestLevers(t *testing.T) {
	b := books(t, 0, 0, 0)
	ask := func(change func(*whatif.Levers)) costing.Money {
		lv := whatif.None()
		change(&lv)
		a, err := b.Ask("H1", lv)
		require.NoError(t, err)
		return a.New.Margin - a.Base.Margin
	}
	rate := costing.Price(1_100_000)
	assert.Equal(t, costing.Money(115_500_00-4_400_00-1_100_00-1_640_00-6_000_00), reported(t, b).Margin)
	for what, c := range map[string]struct {
		moves  costing.Money
		change func(*whatif.Levers)
	}{
		"hours + 10 %":      {-(440_00 + 164_00), func(l *whatif.Levers) { l.Hours = 1_100_000 }},
		"rates + 10 %":      {-(300_00 + 120_00), func(l *whatif.Levers) { l.Rates = 1_100_000 }},
		"waste + 5 points":  {-50_00, func(l *whatif.Levers) { l.Waste = 50_000 }},
		"waste to nought":   {100_00, func(l *whatif.Levers) { l.Waste = -900_000 }},
		"prices + 20 %":     {-220_00, func(l *whatif.Levers) { l.Prices = 1_200_000 }},
		"bought − 1 %":      {60_00, func(l *whatif.Levers) { l.Bought = 990_000 }},
		"the exchange rate": {-5_500_00, func(l *whatif.Levers) { l.PriceRate = &rate }},
		// Half of 40 h afloat takes three times as long: 40 h more at 41.00.
		"half of FIT afloat": {-1_640_00, func(l *whatif.Levers) { l.Stages["FIT"] = whatif.Stage{Hours: costing.One, Afloat: 500_000} }},
	} {
		assert.Equal(t, c.moves, ask(c.change), what)
	}
}

// A hull under way: half of LAM is done and took 120 h instead of 50; what is
// left takes as long again, and a tenth longer with hours + 10 %.
func TestUnderWay(t *testing.T) {
	b := books(t, 50, 120*3600, 0)
	lv := whatif.None()
	lv.Stages["LAM"] = whatif.Stage{Hours: 1_100_000}
	a, err := b.Ask("H1", lv)
	require.NoError(t, err)
	assert.Equal(t, costing.Money(120*44_00+1_100_00), a.Stages[0].ToComplete)
	assert.Equal(t, costing.Money(132*44_00+1_100_00), a.Stages[0].NewToComplete)
	assert.True(t, a.Stages[0].ByEfficiency)
}

// A change order that is quoted: 1,000 GBP at 1.155, 10 h at 41.00.
func TestOrder(t *testing.T) {
	b := books(t, 0, 0, 0)
	e, err := b.Order("X")
	require.NoError(t, err)
	assert.Equal(t, reported(t, b), e.Without)
	assert.Equal(t, costing.Money(1_155_00-410_00), e.Moves())
}

// Published: actual hours and rate in place of the standard move the cost by
// rate and efficiency together (OSM ch. 8.5: 20,000 h at 20 became 25,000 h at 18,
// 50,000 adverse).
func TestPublishedLabour(t *testing.T) {
	b := books(t, 0, 0, 0)
	b.Yard.Estimate = []costing.EstimateLine{{Job: "J1", Element: costing.Labour, Key: "fitter", Quantity: 20_000 * unit, Rate: 20 * unit}}
	b.Yard.Stages["LAM"].Absorption = nil
	b.Plan = estimate.Build(b.Yard, b.Day)
	var err error
	b.Rows, err = variance.Rows(b.Yard, b.Plan, b.Stated, b.Totals)
	require.NoError(t, err)
	b.Cells, err = forecast.Cells(b.Plan, b.Stated, b.Rows)
	require.NoError(t, err)
	lv := whatif.None()
	lv.Hours, lv.Rates = 1_250_000, 900_000
	a, err := b.Ask("H1", lv)
	require.NoError(t, err)
	assert.Equal(t, costing.Money(-50_000_00), a.New.Margin-a.Base.Margin)
}
