package month_test

import (
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/month"
)

func TestStanding(t *testing.T) {
	for _, c := range []struct {
		name                              string
		contract                          month.Contract
		progress                          string
		revenue, profit, provision, asset costing.Money
	}{
		{"not begun", month.Contract{Price: 1000}, "0", 0, 0, 0, 0},
		{"half way", month.Contract{Price: 1000, Cost: 400, ToComplete: 400, Billed: 300}, "1/2", 500, 100, 0, 200},
		{"billed ahead", month.Contract{Price: 1000, Cost: 400, ToComplete: 400, Billed: 900}, "1/2", 500, 100, 0, -400},
		{"done", month.Contract{Price: 1000, Cost: 900}, "1", 1000, 100, 0, 1000},
		{"more than done", month.Contract{Price: 1000, Cost: 900, ToComplete: -100}, "1", 1000, 100, 0, 1000},
		// It will lose 200; 50 of that shows already.
		{"a loss ahead", month.Contract{Price: 1000, Cost: 300, ToComplete: 900}, "1/4", 250, -50, 150, 250},
		{"a loss before the start", month.Contract{Price: 1000, ToComplete: 1200}, "0", 0, 0, 200, 0},
		// Abnormal waste says nothing of progress, but is a cost.
		{"abnormal waste", month.Contract{Price: 1000, Cost: 500, Abnormal: 100, ToComplete: 400}, "1/2", 500, 0, 0, 500},
		{"all of it abnormal", month.Contract{Price: 1000, Cost: 100, Abnormal: 100, ToComplete: 800}, "0", 0, -100, 0, 0},
		// 300 of engines delivered: at cost, without margin.
		{"uninstalled goods", month.Contract{Price: 1300, Cost: 500, ToComplete: 600, Uninstalled: 300, UninstalledTotal: 300}, "1/4", 550, 50, 0, 550},
		{"not delivered yet", month.Contract{Price: 1300, Cost: 200, ToComplete: 900, UninstalledTotal: 300}, "1/4", 250, 50, 0, 250},
	} {
		s, err := c.contract.Standing()
		if err != nil {
			t.Fatal(err)
		}
		if s.Progress.RatString() != c.progress || s.Revenue != c.revenue || s.Profit != c.profit || s.Provision != c.provision || s.Asset != c.asset {
			t.Errorf("%s: %s, revenue %d, profit %d, provision %d, asset %d; want %s, %d, %d, %d, %d", c.name,
				s.Progress.RatString(), s.Revenue, s.Profit, s.Provision, s.Asset, c.progress, c.revenue, c.profit, c.provision, c.asset)
		}
	}
}

// Profit and provision together never show less loss than the contract will
// make, and at the end they show the margin.
func TestLossIsShownAtOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount := func(name string) costing.Money { return costing.Money(rapid.Int64Range(0, 1<<40).Draw(t, name)) }
		c := month.Contract{Price: amount("price"), Cost: amount("cost"), ToComplete: amount("to complete"), Billed: amount("billed")}
		s, err := c.Standing()
		if err != nil {
			t.Fatal(err)
		}
		margin := c.Price - c.Cost - c.ToComplete
		if margin < 0 && s.Profit-s.Provision > margin+1 || s.Provision < 0 || margin >= 0 && s.Provision != 0 {
			t.Fatalf("%+v: margin %d, profit %d, provision %d", c, margin, s.Profit, s.Provision)
		}
		if s.Revenue < 0 || s.Revenue > c.Price || s.Asset != s.Revenue-c.Billed || s.Profit != s.Revenue-c.Cost {
			t.Fatalf("%+v: %+v", c, s)
		}
		c.ToComplete, c.Cost = 0, max(c.Cost, 1)
		if s, err = c.Standing(); err != nil || s.Revenue != c.Price {
			t.Fatalf("finished, but revenue is %d of %d: %v", s.Revenue, c.Price, err)
		}
	})
}
