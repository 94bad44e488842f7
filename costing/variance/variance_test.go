package variance_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/variance"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

const unit = costing.Million

// newYard has one laminating stage, a resin with its hardener, and four jobs:
// one of the build, one shared by two hulls, one of rework, one of warranty.
func newYard() *costing.Yard {
	own := []costing.ShareOf{{Hull: "H1", Weight: 1}}
	return &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2},
		Hulls:    map[string]*costing.Hull{"H1": {Key: "H1", Signed: 20_000}, "H2": {Key: "H2", Signed: 20_000}},
		Grades:   map[string]costing.Dated[costing.Price]{"fitter": always[costing.Price](20 * unit), "hand": always[costing.Price](15 * unit)},
		Stages:   map[string]*costing.Stage{"lay": {Key: "lay", Absorption: always[costing.Price](10 * unit)}},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "lay", Purpose: costing.Build, Shares: own},
			"J2": {Key: "J2", Stage: "lay", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}},
			"J3": {Key: "J3", Stage: "lay", Purpose: costing.Rework, Shares: own},
			"J4": {Key: "J4", Stage: "lay", Purpose: costing.Warranty, Shares: own},
		},
		Changes: map[string]*costing.Change{},
		Items: map[string]*costing.Item{
			"glass":    {Key: "glass", StockUnit: costing.Kilogram, StandardPrice: 4 * unit},
			"resin":    {Key: "resin", StockUnit: costing.Kilogram, HardenerItem: "hardener", StandardPrice: 5 * unit},
			"hardener": {Key: "hardener", StockUnit: costing.Kilogram, StandardPrice: 9 * unit},
		},
	}
}

func line(job string, el costing.Element, key string, quantity costing.Quantity, rate costing.Price) costing.EstimateLine {
	return costing.EstimateLine{Job: job, Element: el, Key: key, Quantity: quantity, Rate: rate}
}

// post adds a job's cost to totals.
func post(t interface{ Fatal(...any) }, y *costing.Yard, totals *costing.Totals, job string, p costing.Posting) {
	j := y.Jobs[job]
	p.Debit, p.Credit, p.Stage, p.Purpose = costing.WorkInProgress, costing.Stock, j.Stage, j.Purpose
	ps, err := costing.ShareOut(nil, j, &p)
	if err != nil {
		t.Fatal(err)
	}
	for i := range ps {
		totals.Add(&ps[i])
	}
}

func rows(t interface{ Fatal(...any) }, y *costing.Yard, stated estimate.Progress, totals *costing.Totals) []variance.Row {
	list, err := variance.Rows(y, estimate.Build(y, 20_100), stated, totals)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func causes(m map[variance.Cause]costing.Money) string {
	var list []string
	for _, c := range variance.Causes {
		if v, ok := m[c]; ok {
			list = append(list, fmt.Sprintf("%s %d", c, v))
		}
	}
	return strings.Join(list, ", ")
}

func TestVariances(t *testing.T) {
	type actual struct {
		job string
		p   costing.Posting
	}
	labour := func(job, grade string, hours int64, amount costing.Money) actual {
		return actual{job, costing.Posting{Element: costing.Labour, Detail: grade, Seconds: hours * 3600, Amount: amount}}
	}
	material := func(job, item string, gross, waste costing.Quantity, amount costing.Money) actual {
		return actual{job, costing.Posting{Element: costing.Material, Detail: item, Quantity: gross, Net: gross, Waste: waste, Amount: amount}}
	}
	glass := line("J1", costing.Material, "glass", 100*unit, 4*unit)
	glass.Waste = 100_000
	for _, c := range []struct {
		name     string
		estimate []costing.EstimateLine
		stated   int
		actual   []actual
		element  costing.Element
		hull     string
		want     string
	}{
		{
			"a grade that the job's lines name",
			[]costing.EstimateLine{line("J1", costing.Labour, "fitter", 10*unit, 22*unit)},
			50,
			[]actual{labour("J1", "fitter", 6, 150_00)},
			costing.Labour, "H1",
			"estimate 22000 allowed 11000 actual 15000: labour_rate 1800, labour_efficiency 2200",
		},
		{
			"two lines of a grade weigh by hours",
			[]costing.EstimateLine{line("J1", costing.Labour, "fitter", 3*unit, 20*unit), line("J1", costing.Labour, "fitter", unit, 24*unit)},
			100,
			[]actual{labour("J1", "fitter", 4, 84_00)},
			costing.Labour, "H1",
			"estimate 8400 allowed 8400 actual 8400: labour_rate 0, labour_efficiency 0",
		},
		{
			"another grade: the standard of the day of signing",
			[]costing.EstimateLine{line("J1", costing.Labour, "fitter", 10*unit, 22*unit)},
			100,
			[]actual{labour("J1", "hand", 10, 160_00)},
			costing.Labour, "H1",
			"estimate 22000 allowed 22000 actual 16000: labour_rate 1000, labour_efficiency -7000",
		},
		{
			"shared by weights",
			[]costing.EstimateLine{line("J2", costing.Labour, "fitter", 9*unit, 20*unit)},
			100,
			[]actual{labour("J2", "fitter", 12, 240_00)},
			costing.Labour, "H2",
			"estimate 6000 allowed 6000 actual 8000: labour_rate 0, labour_efficiency 2000",
		},
		{
			"overhead follows hours",
			[]costing.EstimateLine{line("J1", costing.Labour, "fitter", 10*unit, 22*unit)},
			50,
			[]actual{{"J1", costing.Posting{Element: costing.Overhead, Amount: 60_00}}},
			costing.Overhead, "H1",
			"estimate 10000 allowed 5000 actual 6000: overhead_efficiency 1000",
		},
		{
			"bought in",
			[]costing.EstimateLine{line("J1", costing.BoughtIn, "pump", unit, 300*unit)},
			100,
			[]actual{{"J1", costing.Posting{Element: costing.BoughtIn, Amount: 290_00}}},
			costing.BoughtIn, "H1",
			"estimate 30000 allowed 30000 actual 29000: bought_in -1000",
		},
		{
			"usage",
			[]costing.EstimateLine{glass},
			50,
			[]actual{material("J1", "glass", 60*unit, 0, 250_00)},
			costing.Material, "H1",
			"estimate 44000 allowed 22000 actual 25000: material_price 1000, material_usage 2000",
		},
		// Of 60, 3 were weighed as waste: 57 ask for 62.7 with the allowance.
		{
			"measured waste",
			[]costing.EstimateLine{glass},
			50,
			[]actual{material("J1", "glass", 60*unit, 3*unit, 250_00)},
			costing.Material, "H1",
			"estimate 44000 allowed 22000 actual 25000: material_price 1000, material_usage 0, material_waste -1080, material_take_off 3080",
		},
		{
			"an item nobody planned", nil, 0,
			[]actual{material("J1", "glass", 60*unit, 0, 250_00)},
			costing.Material, "H1",
			"estimate 0 allowed 0 actual 25000: material_price 0, material_usage 0, unplanned 25000",
		},
		// 10 : 1 by standard; used 10 + 2, of which 12 at the standard shares are 54.55 + 9.82, rounded per item.
		{
			"mix and yield",
			[]costing.EstimateLine{line("J1", costing.Material, "resin", 10*unit, 5*unit), line("J1", costing.Material, "hardener", unit, 9*unit)},
			100,
			[]actual{material("J1", "resin", 10*unit, 0, 50_00), material("J1", "hardener", 2*unit, 0, 18_00)},
			costing.Material, "H1",
			"estimate 5900 allowed 5900 actual 6800: material_price 0, material_usage 0, mix 363, yield 537",
		},
		{
			"no mix where waste was measured",
			[]costing.EstimateLine{line("J1", costing.Material, "resin", 10*unit, 5*unit), line("J1", costing.Material, "hardener", unit, 9*unit)},
			100,
			[]actual{material("J1", "resin", 10*unit, unit, 50_00), material("J1", "hardener", 2*unit, 0, 18_00)},
			costing.Material, "H1",
			"estimate 5900 allowed 5900 actual 6800: material_price 0, material_usage 900, material_waste 500, material_take_off -500",
		},
		{
			"rework, whole",
			[]costing.EstimateLine{line("J3", costing.Labour, "fitter", 2*unit, 20*unit)},
			50,
			[]actual{labour("J3", "fitter", 5, 100_00)},
			costing.Labour, "H1", "estimate 4000 allowed 2000 actual 10000: rework 8000",
		},
		{"warranty, whole", nil, 0, []actual{material("J4", "glass", unit, 0, 4_00)}, costing.Material, "H1", "estimate 0 allowed 0 actual 400: rework 400"},
	} {
		y, totals := newYard(), costing.NewTotals()
		y.Estimate = c.estimate
		stated := estimate.Progress{}
		for job := range y.Jobs {
			stated[job] = c.stated
		}
		for _, a := range c.actual {
			post(t, y, totals, a.job, a.p)
		}
		got := "no row"
		for _, r := range rows(t, y, stated, totals) {
			if r.Element == c.element && r.Hull == c.hull {
				got = fmt.Sprintf("estimate %d allowed %d actual %d: %s", r.Estimate, r.Allowed, r.Actual, causes(r.Variances))
			}
		}
		if got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// Whatever was planned, done and stated, a row's variances add up to actual −
// allowed, its items add up to it, and the rows' actual cost is all that was posted.
func TestVariancesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, totals, stated := newYard(), costing.NewTotals(), estimate.Progress{}
		jobs := slices.Sorted(maps.Keys(y.Jobs))
		items := []string{"glass", "resin", "hardener"}
		anyElement := rapid.SampledFrom([]costing.Element{costing.Labour, costing.Material, costing.Material, costing.BoughtIn, costing.Overhead})
		anyJob, anyItem, anyGrade := rapid.SampledFrom(jobs), rapid.SampledFrom(items), rapid.SampledFrom([]string{"fitter", "hand", "nobody"})
		key := func(el costing.Element) string {
			switch el {
			case costing.Labour:
				return anyGrade.Draw(t, "grade")
			case costing.Material:
				return anyItem.Draw(t, "item")
			}
			return ""
		}
		for range rapid.IntRange(0, 12).Draw(t, "lines") {
			el := anyElement.Draw(t, "element")
			l := line(anyJob.Draw(t, "job"), el, key(el), costing.Quantity(rapid.Int64Range(0, 900*unit).Draw(t, "quantity")),
				costing.Price(rapid.Int64Range(0, 90*unit).Draw(t, "price")))
			l.Waste = costing.Share(rapid.Int64Range(0, unit).Draw(t, "waste"))
			y.Estimate = append(y.Estimate, l)
		}
		for _, j := range jobs {
			stated[j] = rapid.SampledFrom([]int{0, 25, 50, 75, 100}).Draw(t, "progress")
		}
		var posted costing.Money
		for range rapid.IntRange(0, 12).Draw(t, "postings") {
			el := anyElement.Draw(t, "element")
			p := costing.Posting{Element: el, Detail: key(el), Amount: costing.Money(rapid.Int64Range(-1_000_00, 9_000_00).Draw(t, "amount"))}
			switch el {
			case costing.Labour:
				p.Seconds = rapid.Int64Range(0, 100_000).Draw(t, "seconds")
			case costing.Material:
				p.Quantity = costing.Quantity(rapid.Int64Range(-20*unit, 900*unit).Draw(t, "quantity"))
				p.Waste = costing.Quantity(rapid.SampledFrom([]int64{0, 0, 0, 1, 333_333, 7 * unit}).Draw(t, "waste"))
			}
			posted += p.Amount
			post(t, y, totals, anyJob.Draw(t, "job"), p)
		}
		for _, r := range rows(t, y, stated, totals) {
			posted -= r.Actual
			var sum costing.Money
			for cause, v := range r.Variances {
				sum += v
				if (cause == variance.Rework) != r.Purpose.Apart() {
					t.Fatalf("%s of a row of %s", cause, r.Purpose)
				}
			}
			if sum != r.Actual-r.Allowed {
				t.Fatalf("%s %s %s: %s is %d, want %d", r.Hull, r.Element, r.Purpose, causes(r.Variances), sum, r.Actual-r.Allowed)
			}
			if r.Element != costing.Material {
				continue
			}
			var actual, allowed costing.Money
			for _, it := range r.Items {
				actual, allowed = actual+it.Actual, allowed+it.Allowed
				sum = 0
				for _, v := range it.Variances {
					sum += v
				}
				if sum != it.Actual-it.Allowed {
					t.Fatalf("%s: %s is %d, want %d", it.Item, causes(it.Variances), sum, it.Actual-it.Allowed)
				}
			}
			if actual != r.Actual || allowed != r.Allowed {
				t.Fatalf("the items cost %d of %d, allowed %d of %d", actual, r.Actual, allowed, r.Allowed)
			}
		}
		if posted != 0 {
			t.Fatalf("%d of what was posted is in no row", posted)
		}
	})
}
