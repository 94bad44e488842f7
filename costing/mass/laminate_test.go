package mass_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/mass"
)

const unit = costing.Million

// newYard has a glass of 800 g/m², a factored resin with its hardener, a nut
// without a weight, and one infused part of two layers.
func newYard() *costing.Yard {
	return &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2}, Hulls: map[string]*costing.Hull{"H1": {Key: "H1"}}, Changes: map[string]*costing.Change{},
		Processes: map[string]*costing.Process{"infusion": {Key: "infusion", Low: 550_000, High: 650_000}},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "LAM", Purpose: costing.Build, Process: "infusion", Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
		},
		Items: map[string]*costing.Item{
			"GLS": {Key: "GLS", StockUnit: costing.SquareMetre, Role: costing.Fibre, KgPerUnit: 800_000, AboardShare: costing.One, Density: 2_550_000},
			"RES": {Key: "RES", StockUnit: costing.Kilogram, WasteMode: costing.Factored, Role: costing.Resin, KgPerUnit: unit, AboardShare: costing.One, Density: 1_100_000},
			"NUT": {Key: "NUT", StockUnit: costing.Each, Role: "other"},
			"BAG": {Key: "BAG", StockUnit: costing.SquareMetre, Role: costing.Consumable},
		},
		Estimate: []costing.EstimateLine{{Job: "J1", Element: costing.Material, Key: "GLS", Quantity: 80 * unit, Plies: 2}},
	}
}

func drew(t *testing.T, y *costing.Yard, totals *costing.Totals, item string, quantity, net, waste costing.Quantity) {
	t.Helper()
	ps, err := costing.ShareOut(nil, y.Jobs["J1"], &costing.Posting{
		Stage: "LAM", Purpose: costing.Build, Element: costing.Material, Detail: item, Quantity: quantity, Net: net, Waste: waste,
		Debit: costing.WorkInProgress, Credit: costing.Stock,
	})
	require.NoError(t, err)
	for i := range ps {
		totals.Add(&ps[i])
	}
}

// Worked by hand: 90 m² drawn less 10 weighed are 64 kg of glass. With 44 kg of
// resin, the factor's waste left out, it is 64/108 = 59.26 % by mass: within the
// band. By volume 25.098 l of 65.098 l is 38.55 %; two layers of 800 g/m² come
// to 1600 / (1000 × 2.55 × 0.3855) = 1.63 mm.
func TestLaminateByHand(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	drew(t, y, totals, "GLS", 90*unit, 90*unit, 10*unit)
	drew(t, y, totals, "RES", 47_520_000, 44*unit, 0)
	list, err := mass.Laminates(y, estimate.Build(y, 1), estimate.Progress{"J1": 100}, totals)
	require.NoError(t, err)
	require.Len(t, list, 1)
	l := list[0]
	assert.Equal(t, []costing.Quantity{64 * unit, 44 * unit}, []costing.Quantity{l.Fibre, l.Matrix})
	assert.Equal(t, "16/27", l.ByMass.RatString())
	assert.Equal(t, "0.3855", at(4, l.ByVolume))
	assert.Equal(t, "1.63", at(2, l.Thickness))
	assert.Equal(t, mass.NoQuestion, l.Ask)
	// The mass report says the same of the stage.
	rows, err := costing.Mass(y, totals)
	require.NoError(t, err)
	require.Len(t, rows, 1)
	assert.Zero(t, l.ByMass.Cmp(rows[0].FibreFraction()))
}

// The bounds of a band are within it; before the job is done nothing is asked.
func TestAsk(t *testing.T) {
	for _, c := range []struct {
		glass, resin costing.Quantity // m², kg
		done         int
		process      string
		want         mass.Ask
	}{
		{100 * unit, 80 * unit, 100, "infusion", mass.MatrixRich},  // 50 %
		{100 * unit, 65_454_545, 100, "infusion", mass.NoQuestion}, // 55 % and a hair
		{100 * unit, 65_454_546, 100, "infusion", mass.MatrixRich}, // a hair below
		{65 * unit, 28 * unit, 100, "infusion", mass.NoQuestion},   // 65 % sharp
		{65 * unit, 27_999_999, 100, "infusion", mass.FibreRich},   // a hair above
		{100 * unit, 20 * unit, 100, "infusion", mass.FibreRich},   // 80 %
		{100 * unit, 0, 100, "infusion", mass.NoMatrix},
		{100 * unit, 20 * unit, 99, "infusion", mass.NotDone},
		{100 * unit, 20 * unit, 100, "", mass.NoProcess},
	} {
		y, totals := newYard(), costing.NewTotals()
		y.Jobs["J1"].Process = c.process
		drew(t, y, totals, "GLS", c.glass, c.glass, 0)
		drew(t, y, totals, "RES", c.resin, c.resin, 0)
		list, err := mass.Laminates(y, estimate.Build(y, 1), estimate.Progress{"J1": c.done}, totals)
		require.NoError(t, err)
		require.Len(t, list, 1)
		assert.Equal(t, c.want, list[0].Ask, c)
		assert.Equal(t, c.want == mass.NoMatrix || c.want == mass.FibreRich || c.want == mass.MatrixRich, list[0].Ask.Asks())
	}
}

// What has no weight is stated by quantity, bought-in parts by lines; bagging
// film goes ashore again.
func TestWithout(t *testing.T) {
	y, totals := newYard(), costing.NewTotals()
	y.Bought = []costing.Bought{{Hull: "H1", Stage: "LAM", Date: 5}, {Hull: "H1", Stage: "LAM", Date: 6}, {Hull: "H1", Stage: "LAM", Date: 99}}
	drew(t, y, totals, "NUT", 12*unit, 12*unit, 2*unit)
	drew(t, y, totals, "BAG", 40*unit, 40*unit, 0)
	drew(t, y, totals, "GLS", 40*unit, 40*unit, 0)
	assert.Equal(t, []mass.Unweighed{
		{HullStage: costing.HullStage{Hull: "H1", Stage: "LAM"}, Quantity: 2 * unit},
		{HullStage: costing.HullStage{Hull: "H1", Stage: "LAM"}, Item: "NUT", Quantity: 10 * unit},
	}, mass.Without(y, totals, 50))
}
