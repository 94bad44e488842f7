// Package forecast says what it still takes to finish, and what margin that
// leaves. Its figures are those of earned value: BAC is the estimate, EV the
// allowed cost, AC the actual cost; CPI = EV / AC and EAC = BAC / CPI is the
// method "at efficiency so far".
package forecast

import (
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/variance"
)

// Method names a way to forecast the cost to complete.
type Method string

// The methods.
const (
	AtEstimate   Method = "at estimate"
	AtEfficiency Method = "at efficiency so far"
	InLumps      Method = "estimate less actual" // material and bought-in parts
	Stated       Method = "stated"
)

// SwitchAt is the progress from which efficiency so far says something.
var SwitchAt = big.NewRat(15, 100)

// Cell is the forecast of one element of a hull's stage; rework and warranty
// have cells apart.
type Cell struct {
	Hull, Stage      string
	Element          costing.Element
	Apart            bool
	Progress         *big.Rat
	Estimate, Actual costing.Money
	Methods          map[Method]costing.Money
	Chosen           Method
	Said             *costing.StatedRest // behind Stated
}

// ToComplete is the cost to complete by the chosen method.
func (c *Cell) ToComplete() costing.Money { return c.Methods[c.Chosen] }

// Bounds are the cost to complete by the kindest and the harshest method.
func (c *Cell) Bounds() (least, most costing.Money) {
	least, most = c.ToComplete(), c.ToComplete()
	for _, m := range c.Methods {
		least, most = min(least, m), max(most, m)
	}
	return least, most
}

// Key names a cell.
type Key struct {
	Hull, Stage string
	Element     costing.Element
	Apart       bool
}

// Cells forecasts from the rows of the variance report.
func Cells(plan *estimate.Plan, stated estimate.Progress, rows []variance.Row) ([]Cell, error) {
	byKey := map[Key]*Cell{}
	for i := range rows {
		r := &rows[i]
		k := Key{r.Hull, r.Stage, r.Element, r.Purpose.Apart()}
		c := byKey[k]
		if c == nil {
			c = &Cell{Hull: k.Hull, Stage: k.Stage, Element: k.Element, Apart: k.Apart}
			byKey[k] = c
		}
		c.Estimate += r.Estimate
		c.Actual += r.Actual
	}
	cells := make([]Cell, 0, len(byKey))
	for _, c := range byKey {
		c.Progress = plan.Stage(costing.HullStage{Hull: c.Hull, Stage: c.Stage}, stated)
		if err := c.work(); err != nil {
			return nil, err
		}
		cells = append(cells, *c)
	}
	slices.SortFunc(cells, compareCells)
	return cells, nil
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// work fills in every method that applies and chooses one.
func (c *Cell) work() error {
	one := big.NewRat(1, 1)
	c.Methods = map[Method]costing.Money{}
	finished := c.Progress.Cmp(one) >= 0
	if c.Element == costing.Material || c.Element == costing.BoughtIn {
		// These come in lumps, ahead of progress: efficiency says nothing of them.
		c.Chosen = InLumps
		c.Methods[InLumps] = 0
		if !finished && !(c.Apart && c.Estimate == 0) {
			c.Methods[InLumps] = max(c.Estimate-c.Actual, 0)
		}
		return nil
	}
	left := new(big.Rat).Sub(one, c.Progress)
	if finished {
		left.SetInt64(0)
	}
	m, err := costing.RoundRat(left.Mul(left, new(big.Rat).SetInt64(int64(c.Estimate))))
	if err != nil {
		return err
	}
	c.Chosen = AtEstimate
	c.Methods[AtEstimate] = costing.Money(m)
	// (Decision: rework that nobody estimated has no plan to be efficient
	// against; what was done of it does not foretell more.)
	if c.Progress.Sign() == 0 || c.Apart && c.Estimate == 0 {
		return nil
	}
	rest := new(big.Rat).SetInt64(int64(c.Actual))
	rest.Quo(rest, c.Progress)
	rest.Sub(rest, new(big.Rat).SetInt64(int64(c.Actual)))
	if finished {
		rest.SetInt64(0)
	}
	if m, err = costing.RoundRat(rest); err != nil {
		return err
	}
	c.Methods[AtEfficiency] = costing.Money(m)
	if c.Progress.Cmp(SwitchAt) >= 0 {
		c.Chosen = AtEfficiency
	}
	return nil
}
