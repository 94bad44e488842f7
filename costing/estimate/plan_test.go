package estimate_test

import (
	"math/big"
	"testing"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const (
	unit   = costing.Million
	signed = costing.Date(20_000)
)

func newYard() *costing.Yard {
	own := []costing.ShareOf{{Hull: "H1", Weight: 1}}
	agreed := signed + 50
	return &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Hulls:    map[string]*costing.Hull{"H1": {Key: "H1", Signed: signed}, "H2": {Key: "H2", Signed: signed + 10}},
		Grades:   map[string]costing.Dated[costing.Price]{"fitter": always[costing.Price](20*unit).Add(signed+5, 30*unit)},
		Stages:   map[string]*costing.Stage{"lay": {Key: "lay", Absorption: always[costing.Price](10*unit).Add(signed+5, 12*unit)}},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "lay", Purpose: costing.Build, Shares: own},
			"J2": {Key: "J2", Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}},
			"J3": {Key: "J3", Stage: "lay", Purpose: costing.ForOrder, Change: "O1", Shares: own},
			"J4": {Key: "J4", Stage: "trim", Purpose: costing.Build, Shares: own},
		},
		Changes: map[string]*costing.Change{
			"O1": {Key: "O1", Hull: "H1", Status: costing.Agreed, AgreedOn: &agreed},
			"O2": {Key: "O2", Hull: "H1", Status: "asked for"},
		},
	}
}

func line(job, change string, el costing.Element, key string, quantity costing.Quantity, rate costing.Price) costing.EstimateLine {
	return costing.EstimateLine{Job: job, Change: change, Element: el, Key: key, Quantity: quantity, Rate: rate}
}

func equal(t *testing.T, what string, got *big.Rat, want string) {
	t.Helper()
	if got == nil || got.RatString() != want {
		t.Errorf("%s is %v, want %s", what, got, want)
	}
}

// Sums are exact fractions of cents: a shared line of 100 h at 20.00 is
// 4000/3 and 2000/3 of a currency unit.
func TestPlan(t *testing.T) {
	y := newYard()
	glass := line("J1", "", costing.Material, "glass", 10*unit, 3*unit)
	glass.Waste = 150_000
	dear := line("J1", "", costing.Material, "glass", 10*unit, 4*unit)
	y.Estimate = []costing.EstimateLine{
		line("J2", "", costing.Labour, "fitter", 100*unit, 20*unit),
		line("J1", "", costing.BoughtIn, "pump", unit, 250*unit),
		glass, dear,
		line("nowhere", "", costing.Labour, "fitter", unit, unit),
	}
	p := estimate.Build(y, signed)
	h1, h2 := p.Rows[estimate.Key{Hull: "H1", Stage: "lay", Purpose: costing.Build}], p.Rows[estimate.Key{Hull: "H2", Stage: "lay", Purpose: costing.Build}]
	equal(t, "labour of H1", h1.Labour, "400000/3")
	equal(t, "labour of H2", h2.Labour, "200000/3")
	// The absorption rate is that of the day each hull was signed.
	equal(t, "overhead of H1", h1.Overhead, "200000/3")
	equal(t, "overhead of H2", h2.Overhead, "40000")
	equal(t, "bought in", h1.Bought, "25000")
	it := h1.Items["glass"]
	equal(t, "net", it.Net, "20000000")
	equal(t, "gross", it.Gross, "21500000")
	equal(t, "cost", it.Cost, "7450")
	equal(t, "allowance", it.Allowance(), "43/40")
	equal(t, "standard price", it.StandardPrice(), "149/430000")
	equal(t, "hours", p.Hours(costing.HullStage{Hull: "H2", Stage: "lay"}), "100000000/3")
	if len(p.Rows) != 2 {
		t.Errorf("%d rows, want 2", len(p.Rows))
	}
}

func TestOnlyAgreedChangesCount(t *testing.T) {
	y := newYard()
	y.Estimate = []costing.EstimateLine{
		line("J1", "O1", costing.Labour, "fitter", unit, 20*unit),
		line("J1", "O2", costing.Labour, "fitter", 2*unit, 20*unit),
		line("J1", "O9", costing.Labour, "fitter", 4*unit, 20*unit),
		line("J1", "", costing.Labour, "fitter", 8*unit, 20*unit),
		line("J3", "", costing.Labour, "fitter", 16*unit, 20*unit), // the job's order
		line("J3", "O2", costing.Labour, "fitter", 32*unit, 20*unit),
	}
	for day, want := range map[costing.Date]string{signed: "8000000", signed + 49: "8000000", signed + 50: "25000000"} {
		equal(t, "hours on "+day.String(), estimate.Build(y, day).Hours(costing.HullStage{Hull: "H1", Stage: "lay"}), want)
	}
}

// A stage's progress is the mean of its jobs', by standard hours, or by
// standard cost where it has no hours.
func TestStageProgress(t *testing.T) {
	y := newYard()
	y.Estimate = []costing.EstimateLine{
		line("J1", "", costing.Labour, "fitter", 30*unit, 20*unit),
		line("J2", "", costing.Labour, "fitter", 15*unit, 20*unit),
		line("J1", "", costing.Material, "glass", 900*unit, 900*unit),
		line("J4", "", costing.BoughtIn, "saw", unit, 100*unit),
	}
	p := estimate.Build(y, signed)
	stated := estimate.Progress{"J1": 50, "J2": 100, "J4": 25}
	equal(t, "H1", p.Stage(costing.HullStage{Hull: "H1", Stage: "lay"}, stated), "5/8")
	equal(t, "H2", p.Stage(costing.HullStage{Hull: "H2", Stage: "lay"}, stated), "1")
	equal(t, "no hours", p.Stage(costing.HullStage{Hull: "H1", Stage: "trim"}, stated), "1/4")
	equal(t, "nothing", p.Stage(costing.HullStage{Hull: "H2", Stage: "trim"}, stated), "0")
	equal(t, "nothing stated", p.Stage(costing.HullStage{Hull: "H1", Stage: "lay"}, nil), "0")
}

func TestStandardRate(t *testing.T) {
	y := newYard()
	y.Estimate = []costing.EstimateLine{
		line("J1", "", costing.Labour, "fitter", 3*unit, 20*unit),
		line("J1", "", costing.Labour, "fitter", unit, 24*unit),
	}
	p := estimate.Build(y, signed)
	// Minor units for a millionth of an hour: 21.00 an hour is 2100/1000000.
	equal(t, "by the job's lines", p.StandardRate("H1", "J1", "fitter"), "21/10000")
	equal(t, "by the day of signing", p.StandardRate("H1", "J4", "fitter"), "1/500")
	equal(t, "by a later day", p.StandardRate("H2", "J2", "fitter"), "3/1000")
	equal(t, "unknown", p.StandardRate("H1", "J1", "nobody"), "0")
}
