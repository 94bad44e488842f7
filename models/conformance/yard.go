package conformance

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

func yardOf(t testing.TB, s *models.Store) (y *costing.Yard) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) (err error) {
		y, err = tx.Yard(t.Context())
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return y
}

func codesOf(t testing.TB, s *models.Store) (codes []models.CodeRow) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) (err error) {
		codes, err = tx.Codes(t.Context())
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return codes
}

func testCodes(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	report := load(t, s, Tiny())
	codes := codesOf(t, s)
	var got []string
	payloads := map[string]bool{}
	for _, c := range codes {
		if err := labels.Check(c.Payload); err != nil || payloads[c.Payload] {
			t.Errorf("%s %s has the payload %s: %v", c.Kind, c.Key, c.Payload, err)
		}
		payloads[c.Payload] = true
		got = append(got, strings.TrimSuffix(c.Kind+" "+c.Key, " "))
	}
	want := strings.Split("cancel,check humidity,check leak,check temperature,check vacuum,crew C1,crew C2,done,indirect CLEAN,indirect WAIT,job J1,job J2,job J3,job J4,job J5,"+
		"lot L1,lot L2,lot L3,lot L4,lot L5,lot L6,off,problem,problem damage,problem dry_spot,problem idea,problem leak,problem missing,problem unsafe,problem waiting,progress 25,progress 50,progress 75,return,scrap,undo,waste,"+
		"worker 101,worker 102,worker 102,worker 103", ",")
	if !slices.Equal(got, want) || report.Issued != len(want)-6 {
		t.Errorf("%d issued; codes %q, want %q", report.Issued, got, want)
	}
	// A lost badge is replaced; the old code stays known.
	var fresh models.CodeRow
	err := s.InTx(t.Context(), func(tx *models.Tx) (err error) {
		fresh, err = tx.ReplaceCode(t.Context(), "worker", "101", Now+1)
		return err
	})
	if err != nil || payloads[fresh.Payload] {
		t.Fatalf("ReplaceCode = %+v, %v", fresh, err)
	}
	for _, c := range codesOf(t, s) {
		if revoked := c.Payload == "P3F7K2E2" || c.Payload == "P3F7K2F0"; revoked != (c.RevokedMs != nil) {
			t.Errorf("code %+v, want revoked %v", c, revoked)
		}
	}
	// The file it came with doesn't bring it back.
	if n := load(t, s, Tiny()).Files["codes.csv"]; n.Added+n.Changed != 0 {
		t.Errorf("loading the codes again gave %+v", n)
	}
}

func testYard(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	y := yardOf(t, s)
	day := func(s string) costing.Date {
		d, err := costing.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	due := day("2026-11-30")
	landed := costing.Money(9000)
	share := costing.Share(180_000)
	at := func(s string) costing.Instant {
		i, err := costing.ParseInstant(s)
		if err != nil {
			t.Fatal(err)
		}
		return i
	}
	expires := day("2027-02-11")
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"name", y.Name, "Fennick Slip"},
		{"currency", y.Currency, costing.Currency{Code: "EUR", Minor: 2}},
		{"zone", y.Zone.String(), "Europe/Lisbon"},
		{"on-cost", y.Policy.OnCost, costing.Dated[costing.Share]{{From: costing.FromStart, Value: 237_500}, {From: day("2026-04-01"), Value: 240_000}}},
		{"worker", *y.Workers["103"], costing.Worker{
			Key: "103", Name: "Quill, Bram", Grade: "fitter", Shift: "night",
			Rates: costing.Dated[costing.Price]{{From: day("2026-01-01"), Value: 21_500_000}},
		}},
		{"crew", *y.Crews["C1"], costing.Crew{Key: "C1", Name: "Hull mould", Members: []string{"101", "102"}}},
		{"night shift", y.Shifts["night"].Hours, map[int]costing.Span{1: {Start: 1320, End: 360}}},
		{"breaks", y.Shifts["day"].Breaks, []costing.Break{{Weekday: 0, Span: costing.Span{Start: 720, End: 750}}, {Weekday: 5, Span: costing.Span{Start: 570, End: 585}}}},
		{"hull", *y.Hulls["H1"], costing.Hull{
			Key: "H1", Model: "Brisa 34", Name: "Marrow", Price: 182_000_000_000,
			PriceCurrency: "EUR", PriceRate: 1_000_000, Signed: day("2026-02-02"), Due: &due,
		}},
		{"job", *y.Jobs["J1"], costing.Job{
			Key: "J1", Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}, Stage: "LAM",
			Part: "hull shell", Purpose: costing.Build, Process: "infusion", WasteFactor: &share,
		}},
		{"shares", y.Jobs["J2"].Shares, []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}},
		{"waste factor", y.Items["RES"].WasteFactor, costing.Dated[costing.Share]{{From: costing.FromStart, Value: 60_000}, {From: day("2026-06-01"), Value: 50_000}}},
		{"aboard", []costing.Share{y.Items["BIAX"].AboardShare, y.Items["FILM"].AboardShare}, []costing.Share{costing.One, 0}},
		{"lot in metres", y.Lots["L1"].Quantity, costing.Quantity(127_000_000)},
		{"lot in litres", *y.Lots["L2"], costing.Lot{
			Key: "L2", Item: "RES", Received: at("2026-02-11T08:00:00Z"), Quantity: 448_000_000,
			Cost: 2101_80 + 85_50, Landed: 85_50, Expires: &expires, SupplierBatch: "R-7731",
			Foreign: costing.Foreign{Currency: "USD", Amount: 2_260_000_000, Rate: 930_000},
			Place:   "Resin room", Delivery: "D-310", Supplier: "Torvane Resins",
			Invoices: []costing.Invoice{{
				At: at("2026-03-20T12:00:00Z"), Price: 2125_12, Landed: &landed,
				Foreign: costing.Foreign{Currency: "USD", Amount: 2_290_000_000, Rate: 928_000},
			}},
		}},
		{"count", y.Lots["L3"].Counts, []costing.Count{{At: at("2026-03-31T15:00:00Z"), Quantity: 96_250_000}}},
		{"delivery", *y.Deliveries["D-310"], costing.Delivery{
			Key: "D-310", Received: at("2026-02-11T08:00:00Z"), Supplier: "Torvane Resins", Note: "DN 55107", Lots: []string{"L2", "L3"},
		}},
		{"spot rates", y.Rates["NOK"], costing.Dated[costing.Price]{{From: day("2026-01-01"), Value: 925_000}, {From: day("2026-03-01"), Value: 931_000}}},
		{"holds", []bool{
			y.Lots["L3"].HeldAt(at("2026-02-11T08:09:00Z")) != nil, y.Lots["L3"].HeldAt(at("2026-02-11T20:00:00Z")) != nil,
			y.Lots["L3"].HeldAt(at("2026-02-12T07:00:00Z")) != nil,
		}, []bool{false, true, false}},
		{"payment at the day's rate", y.Payments[1], costing.Payment{
			Key: "P-2", Document: "D-9001", Date: day("2026-04-02"), Foreign: costing.Foreign{Currency: "GBP", Amount: 8_400_000_000, Rate: 1_150_000},
		}},
		{"second count", y.Sheets["C-1"].Tallies[1], costing.Counted{Lot: "L3", Round: 2, At: at("2026-03-31T15:00:00Z"), Quantity: 96_250_000, Who: "Moss"}},
		{"estimate", y.Estimate[:2], []costing.EstimateLine{
			{Job: "J1", Element: costing.Labour, Key: "laminator", Quantity: 120_000_000, Rate: 28_500_000},
			{Job: "J1", Element: costing.Labour, Key: "laminator", Quantity: 16_000_000, Rate: 30_000_000},
		}},
		{"plies", y.Estimate[2], costing.EstimateLine{
			Job: "J1", Element: costing.Material, Key: "BIAX", Quantity: 190_000_000, Waste: 120_000, Rate: 4_200_000, Plies: 4,
		}},
		{"a process with the common band", *y.Processes["infusion"], costing.Process{
			Key: "infusion", Name: "Vacuum infusion", Low: 550_000, High: 650_000, Source: "an open technical page on infusion",
		}},
		{"a process with its own band", *y.Processes["hand"], costing.Process{
			Key: "hand", Name: "Hand lay-up", Low: 400_000, High: 500_000, Source: "weighed panels",
		}},
		{"bought", y.Bought[0], costing.Bought{
			Document: "D-9001", Date: day("2026-03-05"), Hull: "H1", Stage: "FIT",
			Description: "Engine and shaft", Purpose: costing.Build, Amount: 9660_00,
			Foreign: costing.Foreign{Currency: "GBP", Amount: 8_400_000_000, Rate: 1_150_000},
		}},
		{"bill", y.Billing[0].Amount, costing.Money(36400_00)},
		{"budget", y.Budget[costing.HullStage{Hull: "H1", Stage: "FIT"}], costing.Quantity(85_500_000)},
	} {
		if !reflect.DeepEqual(c.got, c.want) {
			t.Errorf("%s is %+v, want %+v", c.what, c.got, c.want)
		}
	}
}
