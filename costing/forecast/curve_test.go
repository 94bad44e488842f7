package forecast_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing/forecast"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

func TestPublishedCurves(t *testing.T) {
	// Horngren, Cost Accounting, ch. 10: the first boat takes 10,000 h, an 85 %
	// curve, 8 boats. The printed total of the unit model adds rounded hours.
	unit := forecast.StatedCurve(forecast.UnitHours, 10_000, 0.85)
	near(t, "unit model, total of 8", unit.Total(8), 59_358, 2)
	average := forecast.StatedCurve(forecast.CumulativeAverage, 10_000, 0.85)
	near(t, "cumulative average, total of 8", average.Total(8), 49_130, 0.5)

	// The 80 % table of texts on operations management: unit, unit total.
	table := forecast.StatedCurve(forecast.UnitHours, 1, 0.80)
	for n, want := range map[int][2]float64{2: {0.800, 1.800}, 3: {0.702, 2.502}, 4: {0.640, 3.142}} {
		near(t, "unit", table.Hours(n), want[0], 0.0005)
		near(t, "unit total", table.Total(n), want[1], 0.0005)
	}
}

// Hours that lie on a curve give it back, and an interval of no width.
func TestFitFindsTheCurve(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		model := rapid.SampledFrom([]forecast.CurveModel{forecast.UnitHours, forecast.CumulativeAverage}).Draw(rt, "model")
		stated := forecast.StatedCurve(model, rapid.Float64Range(1, 50_000).Draw(rt, "first"), rapid.Float64Range(0.6, 1.1).Draw(rt, "rate"))
		hours := make([]float64, rapid.IntRange(2, 30).Draw(rt, "hulls"))
		for i := range hours {
			hours[i] = stated.Hours(i + 1)
		}
		c, err := forecast.FitCurve(model, hours)
		if err != nil {
			rt.Fatal(err)
		}
		next := len(hours) + 1
		if d := c.Hours(next)/stated.Hours(next) - 1; math.Abs(d) > 1e-6 || math.Abs(c.Rate()-stated.Rate()) > 1e-6 || math.Abs(c.First/stated.First-1) > 1e-6 {
			rt.Fatalf("%+v, want %+v", c, stated)
		}
		low, high, ok := c.Interval(next, 0.95)
		if ok != (len(hours) >= 3) || ok && (high-low)/c.Hours(next) > 1e-5 {
			rt.Fatalf("interval %g to %g, %t, of %d hulls", low, high, ok, len(hours))
		}
	})
}

// Worked apart from the code: three hulls of 100, 90 and 60 h. With x = 0, ln 2,
// ln 3 and y = ln hours, sums of squares and products about the means give the
// slope; one degree of freedom makes t 12.7062 at 95 %, hence the width.
func TestInterval(t *testing.T) {
	c, err := forecast.FitCurve(forecast.UnitHours, []float64{100, 90, 60})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", c.Slope, -0.431272, 1e-6)
	near(t, "first hull", c.First, 105.3569, 1e-4)
	near(t, "hull 4", c.Hours(4), 57.9444, 1e-4)
	low, high, ok := c.Interval(4, 0.95)
	if !ok {
		t.Fatal("three hulls carry a curve")
	}
	near(t, "low", low, 1.9232, 0.001)
	near(t, "high", high, 1745.8, 1)
}

func TestTooFewHulls(t *testing.T) {
	for _, hours := range [][]float64{nil, {100}} {
		if _, err := forecast.FitCurve(forecast.UnitHours, hours); !errors.Is(err, forecast.ErrFewHulls) {
			t.Errorf("%v gave %v", hours, err)
		}
	}
	c, err := forecast.FitCurve(forecast.UnitHours, []float64{100, 80})
	if err != nil || c.Carried() {
		t.Errorf("two hulls give a curve that nothing carries: %+v, %v", c, err)
	}
	near(t, "rate of two hulls", c.Rate(), 0.8, 1e-9)
	if _, _, ok := c.Interval(3, 0.95); ok {
		t.Error("two hulls gave an interval")
	}
	for _, hours := range [][]float64{{100, 0}, {100, -5}, {100, math.NaN()}, {100, math.Inf(1)}} {
		if _, err := forecast.FitCurve(forecast.CumulativeAverage, hours); !errors.Is(err, forecast.ErrNoHours) {
			t.Errorf("%v gave %v", hours, err)
		}
	}
}
