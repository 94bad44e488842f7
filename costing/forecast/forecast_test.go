package forecast_test

import (
	"fmt"
	"math/big"
	"testing"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

const (
	unit   = costing.Million
	signed = costing.Date(20_000)
)

// plan has one job whose progress is the stage's.
func plan(y *costing.Yard) *estimate.Plan {
	y.Currency = costing.Currency{Code: "EUR", Minor: 2}
	y.Jobs = map[string]*costing.Job{"J1": {Key: "J1", Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}}}
	y.Estimate = []costing.EstimateLine{{Job: "J1", Element: costing.Labour, Key: "fitter", Quantity: unit, Rate: unit}}
	return estimate.Build(y, signed)
}

func TestCells(t *testing.T) {
	for _, c := range []struct {
		name             string
		element          costing.Element
		purpose          costing.Purpose
		stated           int
		estimate, actual costing.Money
		chosen           forecast.Method
		methods          string
	}{
		{"not begun", costing.Labour, costing.Build, 0, 1000, 40, forecast.AtEstimate, "map[at estimate:1000]"},
		{"too early for efficiency", costing.Labour, costing.Build, 14, 1000, 280, forecast.AtEstimate, "map[at efficiency so far:1720 at estimate:860]"},
		{"from 0.15 on", costing.Labour, costing.Build, 15, 1000, 300, forecast.AtEfficiency, "map[at efficiency so far:1700 at estimate:850]"},
		{"overhead too", costing.Overhead, costing.ForOrder, 50, 1000, 400, forecast.AtEfficiency, "map[at efficiency so far:400 at estimate:500]"},
		{"done", costing.Labour, costing.Build, 100, 1000, 900, forecast.AtEfficiency, "map[at efficiency so far:0 at estimate:0]"},
		{"rounded once", costing.Labour, costing.Build, 30, 1000, 1000, forecast.AtEfficiency, "map[at efficiency so far:2333 at estimate:700]"},
		{"material in lumps", costing.Material, costing.Build, 50, 1000, 900, forecast.InLumps, "map[estimate less actual:100]"},
		{"material overspent", costing.Material, costing.Build, 50, 1000, 1200, forecast.InLumps, "map[estimate less actual:0]"},
		{"bought in, done", costing.BoughtIn, costing.Build, 100, 1000, 200, forecast.InLumps, "map[estimate less actual:0]"},
		{"rework with a plan", costing.Labour, costing.Rework, 50, 1000, 600, forecast.AtEfficiency, "map[at efficiency so far:600 at estimate:500]"},
		{"rework without", costing.Labour, costing.Warranty, 50, 0, 600, forecast.AtEstimate, "map[at estimate:0]"},
	} {
		rows := []variance.Row{{Hull: "H1", Stage: "lay", Element: c.element, Purpose: c.purpose, Estimate: c.estimate, Actual: c.actual}}
		cells, err := forecast.Cells(plan(new(costing.Yard)), estimate.Progress{"J1": c.stated}, rows)
		if err != nil || len(cells) != 1 {
			t.Fatalf("%s: %d cells: %v", c.name, len(cells), err)
		}
		if got := cells[0]; got.Chosen != c.chosen || fmt.Sprint(got.Methods) != c.methods || got.Apart != c.purpose.Apart() || got.ToComplete() != got.Methods[c.chosen] {
			t.Errorf("%s: %q of %v, want %q of %s", c.name, got.Chosen, got.Methods, c.chosen, c.methods)
		}
	}
}

// Build and change orders are one cell, rework and warranty another.
func TestCellsKeepReworkApart(t *testing.T) {
	var rows []variance.Row
	for i, p := range []costing.Purpose{costing.Build, costing.ForOrder, costing.Rework, costing.Warranty} {
		rows = append(rows, variance.Row{Hull: "H1", Stage: "lay", Element: costing.Labour, Purpose: p, Estimate: 1 << i, Actual: 16 << i})
	}
	cells, err := forecast.Cells(plan(new(costing.Yard)), nil, rows)
	if err != nil || len(cells) != 2 || cells[0].Estimate != 3 || cells[0].Actual != 48 || cells[0].Apart ||
		cells[1].Estimate != 12 || cells[1].Actual != 192 || !cells[1].Apart {
		t.Errorf("%+v, %v", cells, err)
	}
}

func TestMargins(t *testing.T) {
	later := signed + 100
	y := &costing.Yard{
		Hulls: map[string]*costing.Hull{
			"H1": {Key: "H1", Price: 200_000 * unit, PriceCurrency: "USD", PriceRate: 900_001},
			"H2": {Key: "H2", Price: 7 * unit, PriceCurrency: "EUR", PriceRate: unit},
		},
		Changes: map[string]*costing.Change{
			"O1": {Hull: "H1", Price: 1000 * unit, Status: costing.Agreed},
			"O2": {Hull: "H1", Price: 5000 * unit, Status: "asked for"},
			"O3": {Hull: "H1", Price: 7000 * unit, Status: costing.Agreed, AgreedOn: &later},
		},
	}
	p := plan(y)
	rows := []variance.Row{
		{Hull: "H1", Stage: "lay", Element: costing.Labour, Estimate: 100_000_00, Allowed: 50_000_00, Actual: 60_000_00},
		{Hull: "H1", Stage: "lay", Element: costing.Material, Estimate: 20_000_00, Allowed: 10_000_00, Actual: 25_000_00},
	}
	cells, err := forecast.Cells(p, estimate.Progress{"J1": 50}, rows)
	if err != nil {
		t.Fatal(err)
	}
	ms, err := forecast.Margins(y, signed, rows, cells)
	if err != nil || len(ms) != 2 {
		t.Fatalf("%+v, %v", ms, err)
	}
	want := forecast.Margin{
		Hull: "H1", Price: 180_000_20, Changes: 900_00, Estimate: 120_000_00, Actual: 85_000_00, Allowed: 60_000_00,
		ToComplete: 60_000_00, AtCompletion: 145_000_00, Margin: 35_900_20,
	}
	if ms[0] != want {
		t.Errorf("got %+v\nwant %+v", ms[0], want)
	}
	if ms[0].Progress().Cmp(big.NewRat(1, 2)) != 0 || ms[0].Share().Cmp(big.NewRat(35_900_20, 180_900_20)) != 0 {
		t.Errorf("progress %s, margin %s of the price", ms[0].Progress(), ms[0].Share())
	}
	if m := ms[1]; m.Margin != 700 || m.Progress().Sign() != 0 {
		t.Errorf("a hull without an estimate: %+v", m)
	}
	if ms, _ = forecast.Margins(y, later, rows, cells); ms[0].Changes != 7200_01 {
		t.Errorf("changes on a later day are %d", ms[0].Changes)
	}
}

// Without cost or plan there is no index, and no panic.
func TestEarnedNothing(t *testing.T) {
	zero := forecast.Earned{BAC: new(big.Rat), EV: new(big.Rat), AC: new(big.Rat)}
	if zero.CPI() != nil || zero.EAC() != nil || zero.CompositeEAC(big.NewRat(1, 1)) != nil || zero.TCPI() != nil || zero.CV().Sign() != 0 {
		t.Error("an index was made of nothing")
	}
}
