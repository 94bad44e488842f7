package main

import (
	"fmt"
	"math/big"
	"slices"
	"testing"
	"time"

	"hulltally/costing/costingtest"
)

// comparison holds a report's rows against the oracle's.
type comparison struct {
	t      *testing.T
	oracle *costingtest.Oracle
	at     time.Time
}

// cells are the figures of rows by name. What is nought may be left out.
type cells map[string]*big.Rat

func (c cells) set(name string, value *big.Rat) {
	if value.Sign() != 0 {
		c[name] = value
	}
}

func (c comparison) same(report string, got, want cells) {
	c.t.Helper()
	names := []string{}
	for name := range got {
		names = append(names, name)
	}
	for name := range want {
		if got[name] == nil {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range names {
		g, w := got[name], want[name]
		if g == nil {
			g = new(big.Rat)
		}
		if w == nil {
			w = new(big.Rat)
		}
		if g.Cmp(w) != 0 {
			c.t.Errorf("%s at %s: %s = %s, the oracle says %s", report, c.at.Format(time.RFC3339), name, short(g), short(w))
		}
	}
}

func short(r *big.Rat) string {
	if r.IsInt() {
		return r.Num().String()
	}
	return r.FloatString(6)
}

// fourPlaces is a ratio as reports print it.
func fourPlaces(a, b *big.Rat) *big.Rat { return number(new(big.Rat).Quo(a, b).FloatString(4)) }

func (c comparison) amount(minor int64) *big.Rat { return number(c.oracle.Money(minor)) }

func (c comparison) cost(answer rows) {
	got, want := cells{}, cells{}
	for _, r := range answer {
		k := key(r, "hull", "stage", "element", "purpose")
		for _, column := range []string{"seconds", "estimate", "allowed", "actual"} {
			got.set(k+" "+column, number(r[column]))
		}
		left := new(big.Rat).Sub(number(r["actual"]), number(r["allowed"]))
		for name, v := range r["variances"].(map[string]any) {
			got.set(k+" variance "+name, number(v))
			left.Sub(left, number(v))
		}
		if left.Sign() != 0 {
			c.t.Errorf("cost: the variances of %s leave %s unexplained", k, short(left))
		}
	}
	for _, r := range c.oracle.Costs(c.at) {
		k := fmt.Sprintf("%s/%s/%s/%s", r.Hull, r.Stage, r.Element, r.Purpose)
		want.set(k+" seconds", big.NewRat(r.Seconds, 1))
		want.set(k+" estimate", c.amount(r.Estimate))
		want.set(k+" allowed", c.amount(r.Allowed))
		want.set(k+" actual", c.amount(r.Actual))
		for name, v := range r.Variances {
			want.set(k+" variance "+name, c.amount(v))
		}
	}
	c.same("cost", got, want)
}

func (c comparison) margin(answer rows) {
	got, want := cells{}, cells{}
	for _, r := range answer {
		for _, column := range []string{"price", "changes", "estimate", "actual", "to_complete", "at_completion", "margin"} {
			got.set(key(r, "hull")+" "+column, number(r[column]))
		}
		got.set(key(r, "hull")+" share", number(r["margin_share"]))
	}
	for _, m := range c.oracle.Margins(c.at) {
		for column, v := range map[string]int64{
			"price": m.Price, "changes": m.Changes, "estimate": m.Estimate, "actual": m.Actual, "to_complete": m.ToComplete,
			"at_completion": m.AtCompletion, "margin": m.Margin,
		} {
			want.set(m.Hull+" "+column, c.amount(v))
		}
		if contract := m.Price + m.Changes; contract != 0 {
			want.set(m.Hull+" share", fourPlaces(big.NewRat(m.Margin, 1), big.NewRat(contract, 1)))
		}
	}
	c.same("margin", got, want)
}

func (c comparison) hours(answer rows) {
	got, want := cells{}, cells{}
	for _, r := range answer {
		k := key(r, "worker", "week") + " "
		for name, v := range r["seconds"].(map[string]any) {
			got.set(k+name, number(v))
		}
		for _, column := range []string{"base", "on_cost", "premium", "jobs", "indirect", "provisional"} {
			got.set(k+column, number(r[column]))
		}
	}
	for _, h := range c.oracle.HoursWorked(c.at) {
		k := h.Worker + "/" + h.Week + " "
		for column, v := range map[string]int64{
			"ordinary": h.Ordinary, "overtime": h.Overtime, "double": h.Double, "jobs": h.Jobs, "indirect": h.Indirect,
			"provisional": h.Provisional,
		} {
			want.set(k+column, big.NewRat(v, 1))
		}
		for column, v := range map[string]int64{"base": h.Base, "on_cost": h.OnCost, "premium": h.Premium} {
			want.set(k+column, c.amount(v))
		}
	}
	c.same("hours", got, want)
}

func (c comparison) stock(answer rows) {
	got, want := cells{}, cells{}
	averaged := map[string]bool{}
	for _, s := range c.oracle.StockHeld(c.at) {
		k := s.Item + "/" + s.Lot + " "
		for column, v := range map[string]*big.Rat{
			"received": s.Received, "issued": s.Issued, "returned": s.Returned, "scrapped": s.Scrapped, "difference": s.Difference,
			"closing": s.Closing,
		} {
			want.set(k+column, v)
		}
		if s.Averaged {
			k = s.Item + " "
			averaged[s.Item] = true
		}
		want.set(k+"value", c.amount(s.Value))
	}
	for _, r := range answer {
		k := key(r, "item", "lot") + " "
		for _, column := range []string{"received", "issued", "returned", "scrapped", "difference", "closing"} {
			got.set(k+column, number(r[column]))
		}
		if !averaged[key(r, "item")] {
			got.set(k+"value", number(r["value"]))
			continue
		}
		k = key(r, "item") + " value" // the pool's, over its lots
		value := number(r["value"])
		if got[k] != nil {
			value.Add(value, got[k])
		}
		got[k] = value
	}
	c.same("stock", got, want)
}

func (c comparison) mass(answer rows) {
	got, want := cells{}, cells{}
	for _, r := range answer {
		got.set(key(r, "hull", "stage")+" kg", number(r["kg"]))
		got.set(key(r, "hull", "stage")+" fibre fraction", number(r["fibre_fraction"]))
	}
	for _, m := range c.oracle.MassBuiltIn(c.at) {
		want.set(m.Hull+"/"+m.Stage+" kg", m.Kg)
		if m.Fibre.Sign() > 0 && m.Resin.Sign() > 0 {
			want.set(m.Hull+"/"+m.Stage+" fibre fraction", fourPlaces(m.Fibre, new(big.Rat).Add(m.Fibre, m.Resin)))
		}
	}
	c.same("mass", got, want)
}
