package review_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/review"
	"hulltally/costing/variance"
)

const unit = costing.Million

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

// monday is the first day of work: Monday, 1 June 2026.
var monday = costing.NewDate(2026, time.June, 1)

// newYard is one hull of two stages at a price of 10 000, estimated at 100 h of
// laying up at 20 + 10 an hour with 100 kg of resin at 5, and 50 h of fitting
// out with an engine for 1000; with a change order for a rail, 10 h, quoted.
func newYard() *costing.Yard {
	own := []costing.ShareOf{{Hull: "H1", Weight: 1}}
	due := monday + 180
	return &costing.Yard{
		Currency: costing.Currency{Code: "EUR", Minor: 2}, Zone: time.UTC,
		Hulls:  map[string]*costing.Hull{"H1": {Key: "H1", Price: 10_000 * unit, PriceRate: unit, Signed: monday - 20, Due: &due}},
		Grades: map[string]costing.Dated[costing.Price]{"hand": always[costing.Price](20 * unit)},
		Stages: map[string]*costing.Stage{
			"lay": {Key: "lay", Name: "Laying up", Order: 1, Absorption: always[costing.Price](10 * unit)},
			"fit": {Key: "fit", Name: "Fitting out", Order: 2, Absorption: always[costing.Price](10 * unit)},
		},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "lay", Part: "hull shell", Purpose: costing.Build, Shares: own},
			"J2": {Key: "J2", Stage: "fit", Purpose: costing.Build, Shares: own},
			"J3": {Key: "J3", Stage: "lay", Part: "dry spot", Purpose: costing.Rework, Shares: own},
			"J4": {Key: "J4", Stage: "fit", Purpose: costing.ForOrder, Change: "C1", Shares: own},
		},
		Changes: map[string]*costing.Change{"C1": {Key: "C1", Hull: "H1", Title: "A rail", Price: 500 * unit, Status: "quoted"}},
		Items: map[string]*costing.Item{
			"resin": {Key: "resin", Name: "Resin", StockUnit: costing.Kilogram, StandardPrice: 5 * unit},
		},
		Estimate: []costing.EstimateLine{
			{Job: "J1", Element: costing.Labour, Key: "hand", Quantity: 100 * unit, Rate: 20 * unit},
			{Job: "J1", Element: costing.Material, Key: "resin", Quantity: 100 * unit, Rate: 5 * unit},
			{Job: "J2", Element: costing.Labour, Key: "hand", Quantity: 50 * unit, Rate: 20 * unit},
			{Job: "J2", Element: costing.BoughtIn, Key: "engine", Quantity: unit, Rate: 1000 * unit},
			{Job: "J4", Change: "C1", Element: costing.Labour, Key: "hand", Quantity: 10 * unit, Rate: 20 * unit},
		},
	}
}

// books are books in the making.
type books struct {
	y      *costing.Yard
	totals *costing.Totals
	stated estimate.Progress
	day    costing.Date
	worked []review.Worked
}

func newBooks() *books {
	return &books{newYard(), costing.NewTotals(), estimate.Progress{}, monday + 60, nil}
}

// work books hours at 20 an hour with 10 of overhead.
func (b *books) work(job string, day costing.Date, hours int64) {
	j := b.y.Jobs[job]
	p := costing.Posting{
		Date: day, Debit: costing.WorkInProgress, Credit: costing.WagesPayable, Hull: "H1", Stage: j.Stage, Job: job,
		Purpose: j.Purpose, Element: costing.Labour, Detail: "hand", Seconds: hours * 3600, Amount: costing.Money(hours * 2000),
	}
	b.totals.Add(&p)
	p.Element, p.Detail, p.Seconds, p.Amount = costing.Overhead, "", 0, costing.Money(hours*1000)
	b.totals.Add(&p)
	b.worked = append(b.worked, review.Worked{Job: job, Day: day, Seconds: hours * 3600})
}

func (b *books) draw(job string, kg, waste, amount int64) {
	j := b.y.Jobs[job]
	b.totals.Add(&costing.Posting{
		Date: monday, Debit: costing.WorkInProgress, Credit: costing.Stock, Hull: "H1", Stage: j.Stage, Job: job, Purpose: j.Purpose,
		Element: costing.Material, Detail: "resin", Quantity: costing.Quantity(kg * unit), Net: costing.Quantity(kg * unit),
		Waste: costing.Quantity(waste * unit), Amount: costing.Money(amount * 100),
	})
}

func (b *books) buy(stage string, amount int64) {
	b.totals.Add(&costing.Posting{
		Date: monday, Debit: costing.WorkInProgress, Credit: costing.Creditors, Hull: "H1", Stage: stage, Purpose: costing.Build,
		Element: costing.BoughtIn, Detail: "engine", Amount: costing.Money(amount * 100),
	})
}

func (b *books) review(t interface{ Fatal(...any) }) (*review.Books, *review.Hull) {
	plan := estimate.Build(b.y, b.day)
	rows, err := variance.Rows(b.y, plan, b.stated, b.totals)
	if err != nil {
		t.Fatal(err)
	}
	cells, err := forecast.Cells(plan, b.stated, rows)
	if err != nil {
		t.Fatal(err)
	}
	margins, err := forecast.Margins(b.y, b.day, rows, cells)
	if err != nil {
		t.Fatal(err)
	}
	r := &review.Books{Yard: b.y, Day: b.day, Plan: plan, Stated: b.stated, Totals: b.totals, Rows: rows, Cells: cells, Margins: margins}
	hulls, err := review.Hulls(r, "")
	if err != nil {
		t.Fatal(err)
	}
	return r, hulls[0]
}

// say puts all findings into words.
func (b *books) say(t *testing.T, statements ...review.Statement) []string {
	t.Helper()
	r, h := b.review(t)
	var said []string
	for _, f := range h.Findings() {
		words, err := h.Say(r, &f, &review.Facts{Worked: b.worked, Statements: statements})
		if err != nil {
			t.Fatal(err)
		}
		said = append(said, strings.ReplaceAll(words.String(), "\u202f", " "))
	}
	return said
}

func TestSentences(t *testing.T) {
	at := func(d costing.Date) costing.Instant { return d.At(17*60, time.UTC) }
	for name, c := range map[string]struct {
		set        func(b *books)
		statements []review.Statement
		want       []string
	}{
		"on the estimate": {set: func(b *books) {
			b.work("J1", monday, 50)
			b.stated["J1"] = 50
		}},
		"hours over from some week on": {
			func(b *books) {
				b.work("J1", monday, 40)
				b.work("J1", monday+7, 40)
				b.work("J1", monday+14, 40)
				b.stated["J1"] = 100
			},
			[]review.Statement{{Job: "J1", At: at(monday + 4), Percent: 40}, {Job: "J1", At: at(monday + 11), Percent: 80}, {Job: "J1", At: at(monday + 18), Percent: 100}},
			[]string{"Laying up: 20.0 h over allowance, all of them since 15 June 2026; with the overhead they carry 600 EUR."},
		},
		"hours over from the first week on": {func(b *books) {
			b.work("J1", monday, 120)
			b.stated["J1"] = 100
		}, nil, []string{"Laying up: 20.0 h over allowance; with the overhead they carry 600 EUR."}},
		"hours over, most of them on one job": {func(b *books) {
			b.y.Jobs["J5"] = &costing.Job{Key: "J5", Stage: "lay", Part: "bulkheads", Purpose: costing.Build, Shares: b.y.Jobs["J1"].Shares}
			b.y.Estimate = append(b.y.Estimate, costing.EstimateLine{Job: "J5", Element: costing.Labour, Key: "hand", Quantity: 100 * unit, Rate: 20 * unit})
			b.work("J1", monday, 115) // 15 over its 100
			b.work("J5", monday, 55)  // 5 over half of its 100
			b.stated["J1"], b.stated["J5"] = 100, 50
		}, nil, []string{
			"Laying up: 20.0 h over allowance, 15.0 h on hull shell; with the overhead they carry 600 EUR.",
			"Laying up is 75 % done; going on as so far, the rest takes 200 EUR more than its estimate leaves.",
		}},
		"no progress stated": {func(b *books) {
			b.work("J1", monday, 12)
		}, nil, []string{"Laying up: 12.0 h booked, and no progress stated yet; with the overhead they carry 360 EUR."}},
		"going on as so far": {func(b *books) {
			b.work("J1", monday, 40)
			b.stated["J1"] = 20
		}, nil, []string{
			"Laying up is 20 % done; going on as so far, the rest takes 2 400 EUR more than its estimate leaves.",
			"Laying up: 20.0 h over allowance; with the overhead they carry 600 EUR.",
		}},
		"rework": {func(b *books) {
			b.work("J3", monday, 10)
		}, nil, []string{"Rework on Laying up: 10.0 h and 300 EUR, all of it dry spot (300 EUR)."}},
		"a change nobody agreed": {func(b *books) {
			b.work("J4", monday, 10)
		}, nil, []string{"Built but not agreed: A rail, 300 EUR spent; asked for at 500 EUR, which nobody owes yet."}},
		"material that only came early": {set: func(b *books) {
			b.draw("J1", 90, 0, 450)
			b.buy("fit", 1000)
		}},
		"material over": {func(b *books) {
			b.draw("J1", 130, 12, 650)
			b.stated["J1"] = 100
			b.work("J1", monday, 100)
		}, nil, []string{"Laying up: material, 150 EUR more of it than estimated, most in Resin (150 EUR): 130 kg drawn, 100 kg estimated (+30 %), 12 kg weighed as waste."}},
		"material dearer": {func(b *books) {
			b.draw("J1", 50, 0, 300)
			b.stated["J1"] = 50
			b.work("J1", monday, 50)
		}, nil, []string{"Material prices: 50 EUR over the estimate's, most in Laying up (50 EUR)."}},
		"parts dearer": {func(b *books) {
			b.buy("fit", 1200)
		}, nil, []string{"Fitting out: bought-in parts and work 200 EUR over the estimate."}},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBooks()
			c.set(b)
			if got := b.say(t, c.statements...); !slices.Equal(got, c.want) {
				t.Errorf("said\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

func TestStanding(t *testing.T) {
	for _, c := range []struct {
		parts int64
		want  review.Standing
	}{{1000, review.Holding}, {1099, review.Holding}, {1101, review.Slipping}, {9000, review.Losing}} {
		b := newBooks()
		b.buy("fit", c.parts)
		if _, h := b.review(t); h.Standing() != c.want {
			t.Errorf("with parts of %d the hull is %s, want %s", c.parts, h.Standing(), c.want)
		}
	}
}

// Whatever was booked: the bridge reaches the forecast, its themes to date add
// up to actual − allowed, and its steps hang together.
func TestBridgeAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := newBooks()
		for range rapid.IntRange(0, 12).Draw(t, "bookings") {
			b.work(rapid.SampledFrom([]string{"J1", "J2", "J3", "J4"}).Draw(t, "job"), monday, rapid.Int64Range(1, 60).Draw(t, "hours"))
		}
		for range rapid.IntRange(0, 3).Draw(t, "draws") {
			b.draw(rapid.SampledFrom([]string{"J1", "J2", "J3", "J4"}).Draw(t, "job"), rapid.Int64Range(1, 90).Draw(t, "kg"), 0, rapid.Int64Range(0, 700).Draw(t, "cost"))
		}
		b.buy("fit", rapid.Int64Range(0, 2000).Draw(t, "parts"))
		for _, job := range []string{"J1", "J2", "J4"} {
			b.stated[job] = rapid.SampledFrom([]int{0, 10, 25, 50, 75, 100}).Draw(t, "stated")
		}
		if rapid.Bool().Draw(t, "agreed") {
			b.y.Changes["C1"].Status = costing.Agreed
		}
		r, h := b.review(t)
		if h.Baseline != 6000_00 { // 3500 of laying up, 2500 of fitting out
			t.Fatalf("the estimate as signed is %d", h.Baseline)
		}
		br := h.Bridge()
		at := br.Signed
		for _, s := range br.Steps {
			if s.From != at || s.To != at+s.Gain || s.Gain == 0 {
				t.Fatalf("step %v does not begin at %d", s, at)
			}
			at = s.To
		}
		if at != br.Forecast || br.Forecast != h.Margin.Margin {
			t.Fatalf("the bridge ends at %d, the forecast is %d", at, h.Margin.Margin)
		}
		var toDate costing.Money
		for i := range h.Stages {
			s := &h.Stages[i]
			if s.Split.Sum() != s.Variance() {
				t.Fatalf("%s splits into %d, its variance is %d", s.Stage.Key, s.Split.Sum(), s.Variance())
			}
			if s.Final.Sum() != s.AtCompletion()-s.Estimate {
				t.Fatalf("%s ends %d over, its causes say %d", s.Stage.Key, s.AtCompletion()-s.Estimate, s.Final.Sum())
			}
			if s.Low > s.ToComplete || s.High < s.ToComplete {
				t.Fatalf("%s: %d to complete is not between %d and %d", s.Stage.Key, s.ToComplete, s.Low, s.High)
			}
			toDate += s.Variance()
		}
		if toDate != h.Actual-h.Allowed {
			t.Fatalf("the stages vary by %d, the hull by %d", toDate, h.Actual-h.Allowed)
		}
		only, err := review.Hulls(r, "H1")
		if err != nil || len(only) != 1 || only[0].Fall() != h.Fall() {
			t.Fatalf("one hull alone gives %v, %v", only, err)
		}
	})
}

func TestCurve(t *testing.T) {
	b := newBooks()
	b.work("J1", monday, 40)    // June
	b.work("J1", monday+35, 60) // July
	b.stated["J1"] = 80
	r, h := b.review(t)
	c, err := h.Curve(r, []review.Statement{
		{Job: "J1", At: (monday + 20).At(60, time.UTC), Percent: 50}, {Job: "J1", At: (monday + 40).At(60, time.UTC), Percent: 80},
	})
	if err != nil {
		t.Fatal(err)
	}
	var past []costing.Money
	for _, p := range c.Points {
		if p.Past {
			past = append(past, p.Actual, p.Earned)
		}
	}
	// Laying up is estimated at 100 × 30 + 500 = 3500: half of it by the end of June.
	if want := []costing.Money{0, 0, 1200_00, 1750_00, 3000_00, 2800_00}; !slices.Equal(past, want) {
		t.Errorf("spent and earned by month %v, want %v", past, want)
	}
	now, _ := c.Now()
	if now.Actual != h.Actual || now.Earned != h.Allowed {
		t.Errorf("today %d spent and %d earned, the books say %d and %d", now.Actual, now.Earned, h.Actual, h.Allowed)
	}
	if last := c.Points[len(c.Points)-1]; last.Plan != h.Estimate || last.Day != *h.Hull.Due {
		t.Errorf("the plan ends on %s at %d", last.Day, last.Plan)
	}
}

func TestForPeople(t *testing.T) {
	for decimal, want := range map[string]string{
		"0": "0", "12.50": "12.50", "-1234567.89": "−1 234 567.89", "999": "999", "1000": "1 000",
	} {
		if got := strings.ReplaceAll(review.People(decimal), "\u202f", " "); got != want {
			t.Errorf("%s is written %s, want %s", decimal, got, want)
		}
	}
	eur := costing.Currency{Code: "EUR", Minor: 2}
	for m, want := range map[costing.Money]string{149: "1", 150: "2", -150: "−2", -123456: "−1 235"} {
		if got := strings.ReplaceAll(review.Whole(eur, m), "\u202f", " "); got != want {
			t.Errorf("%d cents are %s, want %s", m, got, want)
		}
	}
	for seconds, want := range map[int64]string{0: "0.0", 3600: "1.0", -5400: "−1.5", 179: "0.0", 180: "0.1"} {
		if got := review.HoursOf(seconds); got != want {
			t.Errorf("%d s are %s h, want %s", seconds, got, want)
		}
	}
	if got := review.DayName(costing.NewDate(2026, time.August, 3)); got != "3 August 2026" {
		t.Errorf("the day is called %s", got)
	}
}
