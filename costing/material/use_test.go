package material_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/material"
	"hulltally/costing/variance"
)

const unit = costing.Million

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

// newYard has a weighed infusion resin with its hardener, a factored one, a
// glass, and jobs: one a hull, one that two hulls share.
func newYard() *costing.Yard {
	y := &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2}, Hulls: map[string]*costing.Hull{}, Stages: map[string]*costing.Stage{"LAM": {Key: "LAM", Order: 1}},
		Jobs: map[string]*costing.Job{}, Changes: map[string]*costing.Change{}, Lots: map[string]*costing.Lot{},
		Items: map[string]*costing.Item{
			"INF":   {Key: "INF", StockUnit: costing.Kilogram, WasteMode: costing.Measured, HardenerItem: "HARD", HardenerParts: 30 * unit, Role: costing.Resin},
			"HARD":  {Key: "HARD", StockUnit: costing.Kilogram, WasteMode: costing.Measured, Role: costing.Hardener},
			"BULK":  {Key: "BULK", StockUnit: costing.Kilogram, WasteMode: costing.Factored, WasteFactor: always[costing.Share](80_000), Role: costing.Resin},
			"GLASS": {Key: "GLASS", StockUnit: costing.SquareMetre, WasteMode: costing.Measured, Role: costing.Fibre},
		},
	}
	for i, h := range []string{"H1", "H2", "H3", "H4"} {
		y.Hulls[h] = &costing.Hull{Key: h, Signed: costing.Date(20_000 + i)}
		y.Jobs[h+"-1"] = &costing.Job{Key: h + "-1", Stage: "LAM", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: h, Weight: 1}}}
	}
	y.Jobs["B"] = &costing.Job{Key: "B", Stage: "LAM", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}}
	return y
}

func planned(y *costing.Yard, job, item string, net costing.Quantity, waste costing.Share, price costing.Price) {
	y.Estimate = append(y.Estimate, costing.EstimateLine{Job: job, Element: costing.Material, Key: item, Quantity: net, Waste: waste, Rate: price})
}

func drew(t require.TestingT, y *costing.Yard, totals *costing.Totals, job, item string, drawn, net, waste costing.Quantity, cost costing.Money) {
	j := y.Jobs[job]
	ps, err := costing.ShareOut(nil, j, &costing.Posting{
		Debit: costing.WorkInProgress, Credit: costing.Stock, Stage: j.Stage, Purpose: j.Purpose, Element: costing.Material, Detail: item,
		Quantity: drawn, Net: net, Waste: waste, Amount: cost,
	})
	require.NoError(t, err)
	for i := range ps {
		totals.Add(&ps[i])
	}
}

func find(t *testing.T, uses []material.Use, hull, item string) material.Use {
	t.Helper()
	for _, u := range uses {
		if u.Hull == hull && u.Item == item {
			return u
		}
	}
	require.Fail(t, "no use of "+item+" in "+hull)
	return material.Use{}
}

// Worked by hand. Infusion: 100 kg net at 5.00 with 8 % allowed, half done. 60
// drawn, 6 weighed in the catch-pot: 54 in the part, 6/54 = 11.1 % of net; with
// 8 % it were 58.32, so 1.68 kg or 8.40 too much; against the 50 kg that half
// the estimate is, 20 %. Bulk: 20 read net, 21.6 by the factor, a count adds
// 0.9: 22.5, so 12.5 % against 8 %.
func TestFactorsByHand(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	planned(y, "H1-1", "INF", 100*unit, 80_000, 5*unit)
	planned(y, "H1-1", "BULK", 20*unit, 80_000, 4*unit)
	drew(t, y, totals, "H1-1", "INF", 60*unit, 60*unit, 0, 312_00)
	drew(t, y, totals, "H1-1", "INF", 0, 0, 6*unit, 0)
	drew(t, y, totals, "H1-1", "BULK", 21_600_000, 20*unit, 0, 86_40)
	drew(t, y, totals, "H1-1", "BULK", 900_000, 0, 0, 3_60)
	b, err := material.Gather(y, estimate.Build(y, 20_100), estimate.Progress{"H1-1": 50}, totals)
	require.NoError(t, err)

	inf := find(t, b.Stages, "H1", "INF")
	assert.Equal(t, material.Weighed, inf.Known)
	assert.Equal(t, []costing.Quantity{100 * unit, 50 * unit, 54 * unit, 60 * unit, 6 * unit, 1_680_000},
		[]costing.Quantity{inf.Estimate, inf.Expected, inf.Net, inf.Drawn, inf.Waste, inf.Over})
	assert.Equal(t, []string{"2/25", "1/9", "1/5"}, []string{inf.Allowed.RatString(), inf.Achieved.RatString(), inf.ByEstimate.RatString()})
	assert.Equal(t, costing.Money(8_40), inf.Value)
	assert.Equal(t, costing.Money(312_00), inf.Cost)

	bulk := find(t, b.Stages, "H1", "BULK")
	assert.Equal(t, material.ByFactor, bulk.Known)
	assert.Equal(t, "1/8", bulk.Achieved.RatString())
	assert.Equal(t, costing.Quantity(900_000), bulk.Over)
	assert.Equal(t, costing.Money(3_60), bulk.Value)
}

// Where nothing was weighed, nothing is said of waste, and no money either.
func TestUnweighedWasteIsNotNought(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	planned(y, "H1-1", "GLASS", 50*unit, 100_000, 6*unit)
	drew(t, y, totals, "H1-1", "GLASS", 56*unit, 56*unit, 0, 336_00)
	b, err := material.Gather(y, estimate.Build(y, 20_100), estimate.Progress{"H1-1": 100}, totals)
	require.NoError(t, err)
	u := find(t, b.Stages, "H1", "GLASS")
	assert.Equal(t, material.NotWeighed, u.Known)
	assert.Nil(t, u.Achieved)
	assert.Zero(t, u.Value)
	assert.Equal(t, "3/25", u.ByEstimate.RatString())
}

// A pot of 13 kg mixed by weight at 30 parts is split 6 : 4 over two jobs, one
// of them of two hulls; 0.39 kg stays in it and in the catch-pot. Every hull's
// mix keeps the ratio, and the residue is waste of resin and hardener alike.
func TestPotSplitOverTwoJobs(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	for job, kg := range map[string]costing.Quantity{"H3-1": 6 * unit, "B": 4 * unit} {
		drew(t, y, totals, job, "INF", kg, kg, 0, 0)
		drew(t, y, totals, job, "HARD", kg*3/10, kg*3/10, 0, 0)
	}
	drew(t, y, totals, "H3-1", "INF", 0, 0, 300_000, 0)
	drew(t, y, totals, "H3-1", "HARD", 0, 0, 90_000, 0)
	b, err := material.Gather(y, estimate.Build(y, 20_100), nil, totals)
	require.NoError(t, err)
	require.Len(t, b.Mixes, 3)
	var all costing.Quantity
	for _, m := range b.Mixes {
		all += m.ResinKg + m.HardenerKg
		off := new(big.Rat).Sub(m.Achieved, m.Stated)
		assert.Negative(t, off.Abs(off).Cmp(big.NewRat(1, 10_000)), m)
		assert.False(t, m.Asks)
	}
	assert.Equal(t, costing.Quantity(13*unit), all)
	assert.Equal(t, "1/19", find(t, b.Stages, "H3", "INF").Achieved.RatString())
	assert.Equal(t, "1/19", find(t, b.Stages, "H3", "HARD").Achieved.RatString())
}

// More than 5 % off asks; hardener without resin, and resin without, too.
func TestMixAsks(t *testing.T) {
	for _, c := range []struct {
		resin, hardener costing.Quantity
		asks            bool
	}{
		{10 * unit, 3 * unit, false},
		{10 * unit, 3_150_000, false},
		{10 * unit, 3_151_000, true},
		{10 * unit, 2_849_000, true},
		{10 * unit, 0, true},
		{0, unit, true},
	} {
		y, totals := newYard(), costing.NewTotals()
		drew(t, y, totals, "H1-1", "INF", c.resin, c.resin, 0, 0)
		drew(t, y, totals, "H1-1", "HARD", c.hardener, c.hardener, 0, 0)
		b, err := material.Gather(y, estimate.Build(y, 20_100), nil, totals)
		require.NoError(t, err)
		require.Len(t, b.Mixes, 1)
		assert.Equal(t, c.asks, b.Mixes[0].Asks, c)
	}
}

// Worked by hand: hulls waste 10 of 100, 8 of 100 and 30 of 200 kg net. The
// mean is 48/400 = 12 %, the median 10 %, from 8 to 15 %. Two hulls are too
// few; a job that isn't done, or drew nothing, says nothing.
func TestFactorTheLastHullsSuggest(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	for hull, kg := range map[string][2]costing.Quantity{"H1": {110, 10}, "H2": {108, 8}, "H3": {230, 30}, "H4": {500, 400}} {
		planned(y, hull+"-1", "INF", 100*unit, 80_000, 5*unit)
		drew(t, y, totals, hull+"-1", "INF", kg[0]*unit, kg[0]*unit, 0, 0)
		drew(t, y, totals, hull+"-1", "INF", 0, 0, kg[1]*unit, 0)
	}
	planned(y, "B", "INF", 100*unit, 80_000, 5*unit) // stated done, drawn before the books began
	plan := estimate.Build(y, 20_100)
	of := func(done estimate.Progress) material.Factor {
		b, err := material.Gather(y, plan, done, totals)
		require.NoError(t, err)
		for _, f := range b.Factors() {
			if f.Basis == material.OfWaste && f.Item == "INF" {
				return f
			}
		}
		return material.Factor{}
	}
	f := of(estimate.Progress{"H1-1": 100, "H2-1": 100, "H3-1": 100, "H4-1": 99, "B": 100})
	require.Len(t, f.Hulls, 3)
	assert.Equal(t, "H3", f.Hulls[0].Hull)
	assert.Equal(t, []string{"3/25", "1/10", "2/25", "3/20", "2/25"},
		[]string{f.Mean.RatString(), f.Median.RatString(), f.Low.RatString(), f.High.RatString(), f.Allowed.RatString()})
	assert.True(t, f.Enough)
	f = of(estimate.Progress{"H1-1": 100, "H2-1": 100})
	assert.Equal(t, "9/100", f.Median.RatString())
	assert.False(t, f.Enough)
}

// Whatever is drawn: net and waste come to what was drawn, jobs to their
// stage, the hulls of a shared job to the job; and where waste was weighed the
// money is the waste of the cost report, to the cent.
func TestUsesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, totals := newYard(), costing.NewTotals()
		some := rapid.Int64Range(1, 400_000_000)
		sums := map[string]costing.Quantity{}
		stated := estimate.Progress{}
		for _, job := range []string{"H1-1", "H2-1", "B"} {
			stated[job] = rapid.IntRange(0, 100).Draw(t, "done")
			for _, item := range []string{"INF", "GLASS"} {
				planned(y, job, item, costing.Quantity(some.Draw(t, "net")), costing.Share(rapid.Int64Range(0, 300_000).Draw(t, "allowed")),
					costing.Price(rapid.Int64Range(100_000, 40_000_000).Draw(t, "price")))
				q := costing.Quantity(some.Draw(t, "drawn"))
				drew(t, y, totals, job, item, q, q, costing.Quantity(rapid.Int64Range(0, int64(q)).Draw(t, "waste")), costing.Money(some.Draw(t, "cost")/1000))
				sums[item] += q
			}
		}
		plan := estimate.Build(y, 20_100)
		b, err := material.Gather(y, plan, stated, totals)
		require.NoError(t, err)
		rows, err := variance.Rows(y, plan, stated, totals)
		require.NoError(t, err)
		waste := map[string]costing.Money{}
		for _, r := range rows {
			for _, it := range r.Items {
				waste[r.Hull+" "+it.Item] = it.Variances[variance.MaterialWaste]
			}
		}
		byStage, byJob := map[string]costing.Quantity{}, map[string]costing.Quantity{}
		for _, u := range b.Stages {
			assert.Equal(t, u.Drawn, u.Net+u.Waste)
			byStage[u.Item] += u.Drawn
			if u.Known == material.Weighed {
				assert.Equal(t, waste[u.Hull+" "+u.Item], u.Value, u)
			}
		}
		for _, u := range b.Jobs {
			byJob[u.Item] += u.Drawn
		}
		assert.Equal(t, sums, byStage)
		assert.Equal(t, sums, byJob)
	})
}
