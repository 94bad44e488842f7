package revise_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/revise"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

func yard() *costing.Yard {
	return &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Stages: map[string]*costing.Stage{
			"A": {Key: "A", Order: 1, Absorption: always[costing.Price](7_333_333)}, "B": {Key: "B", Order: 2, Absorption: always[costing.Price](11_111_111)},
		},
		Grades: map[string]costing.Dated[costing.Price]{"fitter": always[costing.Price](31_000_000)},
		Items:  map[string]*costing.Item{"RES": {Key: "RES", StockUnit: costing.Kilogram, StandardPrice: 5_100_000, WasteMode: costing.Factored}},
		Jobs:   map[string]*costing.Job{}, Hulls: map[string]*costing.Hull{},
	}
}

func lines(t *rapid.T, hull string) []revise.Line {
	var list []revise.Line
	for i := range rapid.IntRange(0, 12).Draw(t, "lines") {
		stage := rapid.SampledFrom([]string{"A", "B"}).Draw(t, "stage")
		l := revise.Line{
			Job: hull + "-" + stage, Stage: stage, Part: "p", Purpose: costing.Build,
			Quantity: costing.Quantity(rapid.Int64Range(0, 400_000_000).Draw(t, "quantity")),
			Rate:     costing.Price(rapid.Int64Range(0, 90_000_000).Draw(t, "rate")),
		}
		if stage == "B" {
			l.Shares = []costing.ShareOf{{Hull: hull, Weight: 2}, {Hull: "other", Weight: 1}}
		}
		switch i % 3 {
		case 0:
			l.Element, l.Key = costing.Labour, rapid.SampledFrom([]string{"fitter", "leader"}).Draw(t, "grade")
		case 1:
			l.Element, l.Key, l.Waste = costing.Material, "RES", costing.Share(rapid.Int64Range(0, 400_000).Draw(t, "waste"))
		default:
			l.Element, l.Key = costing.BoughtIn, rapid.StringMatching(`[a-c]`).Draw(t, "part")
		}
		list = append(list, l)
	}
	return list
}

func revision(t *rapid.T, hull string) *revise.Revision {
	return &revise.Revision{
		Hull: hull, Model: "M", Day: 20_000, Price: rapid.Int64Range(0, 1_000_000_000_000).Draw(t, "price"), PriceCurrency: "EUR", PriceRate: 1_000_000,
		Lines: lines(t, hull),
	}
}

// The lines of a revision add up to its estimate, and the differences of any
// two, of one hull or of two, to the difference of their totals, to the cent.
func TestLinesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := yard()
		a, err := revise.Price(y, revision(t, "H1"))
		require.NoError(t, err)
		b, err := revise.Price(y, revision(t, rapid.SampledFrom([]string{"H1", "H2"}).Draw(t, "hull")))
		require.NoError(t, err)
		var sum costing.Money
		for _, l := range a.Lines {
			sum += l.Cost
		}
		assert.Equal(t, a.Estimate, sum)
		assert.Equal(t, a.Price-a.Estimate, a.Margin.Margin)
		pairs := revise.Compare(a, b)
		assert.Equal(t, b.Estimate-a.Estimate, revise.Sum(pairs))
		var hours [2]costing.Quantity
		var moved costing.Quantity
		for i, p := range []*revise.Priced{a, b} {
			for _, l := range p.Lines {
				if l.Element == costing.Labour {
					hours[i] += l.Own
				}
			}
		}
		for _, p := range pairs {
			if p.Line().Element == costing.Labour {
				moved += p.Quantity()
			}
		}
		assert.Equal(t, hours[1]-hours[0], moved, "hours too")
		for _, p := range revise.Compare(a, a) {
			assert.True(t, p.Same())
		}
	})
}

// What a hull's estimate comes to in the books is what it comes to as a
// revision, batches shared with others included.
func TestBooksAsRevision(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := yard()
		r := revision(t, "H1")
		whole := r.Yard(y)
		whole.Hulls["other"] = &costing.Hull{Key: "other", Signed: 20_000}
		got, err := revise.Price(y, revise.Of(whole, "H1", 20_000, false))
		require.NoError(t, err)
		want, err := revise.Price(y, r)
		require.NoError(t, err)
		assert.Equal(t, want.Estimate, got.Estimate)
	})
}

// A copy with every factor one comes to the same for a hull alone; 110 % of the
// hours moves the labour by a tenth and nothing else.
func TestCopy(t *testing.T) {
	y := yard()
	r := &revise.Revision{Hull: "H1", Day: 20_000, PriceCurrency: "EUR", PriceRate: 1_000_000, Lines: []revise.Line{
		{Job: "H1-A-1", Stage: "A", Purpose: costing.Build, Element: costing.Labour, Key: "fitter", Quantity: 100_000_000, Rate: 30_000_000},
		{Job: "X", Stage: "B", Purpose: costing.Build, Element: costing.Labour, Key: "fitter", Quantity: 10_000_000, Rate: 30_000_000},
		{Job: "X", Stage: "B", Purpose: costing.Build, Element: costing.BoughtIn, Key: "saw", Quantity: 1_000_000, Rate: 80_000_000},
	}}
	c, err := revise.Copy(r, "H2", []revise.Factor{{Stage: "A", Element: costing.Labour, Times: 1_100_000}, {Element: costing.BoughtIn, Times: 500_000}})
	require.NoError(t, err)
	assert.Equal(t, []string{"H2-A-1", "H2-X", "H2-X"}, []string{c.Lines[0].Job, c.Lines[1].Job, c.Lines[2].Job})
	assert.Equal(t, costing.Quantity(110_000_000), c.Lines[0].Quantity)
	assert.Equal(t, costing.Quantity(10_000_000), c.Lines[1].Quantity)
	assert.Equal(t, costing.Price(40_000_000), c.Lines[2].Rate)
	a, err := revise.Price(y, r)
	require.NoError(t, err)
	b, err := revise.Price(y, c)
	require.NoError(t, err)
	// 10 h at 30.00, less 40.00 for the saw; overhead at 7.333333 goes from 733.33 to 806.67.
	assert.Equal(t, costing.Money(300_00+73_34-40_00), b.Estimate-a.Estimate)
}

// Published: a box takes 0.10 h at 8.00 and 0.25 lb at 7.00 (OSM ch. 8.2–8.3):
// 2.55 each, so that ten thousand come to 25,500.00.
func TestPublishedStandardCost(t *testing.T) {
	y := yard()
	y.Stages["A"].Absorption = nil
	p, err := revise.Price(y, &revise.Revision{Hull: "H", Day: 1, PriceCurrency: "EUR", PriceRate: 1_000_000, Lines: []revise.Line{
		{Job: "J", Stage: "A", Purpose: costing.Build, Element: costing.Labour, Key: "fitter", Quantity: 1_000_000_000, Rate: 8_000_000},
		{Job: "J", Stage: "A", Purpose: costing.Build, Element: costing.Material, Key: "RES", Quantity: 2_500_000_000, Rate: 7_000_000},
	}})
	require.NoError(t, err)
	assert.Equal(t, costing.Money(25_500_00), p.Estimate)
}

func TestSpread(t *testing.T) {
	s := revise.Spread{Values: []int64{100, 120, 170, 250}}
	assert.Equal(t, []int64{4, 145, 160, 100, 250}, []int64{int64(s.N()), s.Median(), s.Mean(), s.Least(), s.Most()})
	assert.False(t, s.Few())
	assert.True(t, revise.Spread{Values: []int64{1, 2}}.Few())
	assert.Zero(t, revise.Spread{}.Median()+revise.Spread{}.Mean()+revise.Spread{}.Most())
}

// Two hulls have finished stage A, one has not: its hours say nothing yet.
func TestAchieved(t *testing.T) {
	y := yard()
	stated, totals := estimate.Progress{}, costing.NewTotals()
	for i, h := range []struct {
		hull    string
		done    int
		seconds int64
		net     costing.Quantity
		gross   costing.Quantity
	}{{"H1", 100, 360_000, 100_000_000, 110_000_000}, {"H2", 100, 396_000, 120_000_000, 144_000_000}, {"H3", 75, 36_000, 10_000_000, 90_000_000}} {
		job := h.hull + "-1"
		y.Hulls[h.hull] = &costing.Hull{Key: h.hull}
		y.Jobs[job] = &costing.Job{Key: job, Stage: "A", Part: "shell", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: h.hull, Weight: 1}}}
		y.Estimate = append(y.Estimate, costing.EstimateLine{Job: job, Element: costing.Labour, Key: "fitter", Quantity: 90_000_000, Rate: 31_000_000})
		stated[job] = h.done
		totals.Fine[costing.Fine{Hull: h.hull, Job: job, Element: costing.Labour, Detail: "fitter", Period: 1}] = costing.Sums{Seconds: h.seconds}
		totals.Fine[costing.Fine{Hull: h.hull, Job: job, Element: costing.Material, Detail: "RES", Period: costing.Period(1 + i)}] = costing.Sums{Net: h.net, Quantity: h.gross}
	}
	y.Bought = []costing.Bought{{Hull: "H1", Stage: "A", Description: "Crane", Purpose: costing.Build, Amount: 500_00, Date: 5}}
	p := &revise.Past{Yard: y, Day: 10, Plan: estimate.Build(y, 10), Stated: stated, Totals: totals}
	took, err := p.Of([]string{"H1", "H2", "H3"})
	require.NoError(t, err)
	require.Len(t, took, 3)
	assert.Equal(t, revise.Took{
		Stage: "A", Key: "Crane", Element: costing.BoughtIn, Amount: revise.Spread{Values: []int64{0, 500_000_000}}, Hulls: []string{"H1", "H2"},
	}, took[0])
	assert.Equal(t, []int64{100_000_000, 110_000_000}, took[1].Amount.Values)
	assert.Equal(t, []int64{100_000, 200_000}, took[2].Waste.Values)
	draft := revise.Draft(y, "H9", 10, took, revise.ByMedian)
	require.Len(t, draft, 3)
	assert.Equal(t, []any{"H9-A-2", costing.Quantity(105_000_000), costing.Price(31_000_000)}, []any{draft[1].Job, draft[1].Quantity, draft[1].Rate})
	assert.Equal(t, []any{costing.Quantity(110_000_000), costing.Share(150_000), costing.Price(5_100_000)}, []any{draft[2].Quantity, draft[2].Waste, draft[2].Rate})
	assert.Equal(t, costing.Price(250_000_000), draft[0].Rate)
}
