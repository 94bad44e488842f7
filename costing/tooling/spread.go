// Package tooling spreads the cost of what is made once for several hulls —
// plugs, moulds, jigs, designs — over the uses it is meant for. A use bears the
// cost over the planned number of uses, as equipment is depreciated by use
// (IAS 16 paragraph 62, units of production), which is a cost of what is built
// with it (IAS 2 paragraph 12). What no use has borne yet is stated.
package tooling

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// Share is what one hull bears of a tool.
type Share struct {
	Hull string
	Uses int64 // that the hull makes
	Over int64 // of them, beyond the plan: they bear nothing, the tool is paid for
	Made bool  // by the day
	Cost costing.Money
}

// Spread is a tool's cost divided. The shares and Spare add up to the cost.
type Spread struct {
	Shares  []Share // in the order of use: by day made, those to come last
	Charged costing.Money
	Named   costing.Money // for uses to come of hulls that are named
	Spare   costing.Money // for planned uses that no hull is named for
	Unnamed int64         // how many those are
}

// Open is what no use has borne yet.
func (s *Spread) Open() costing.Money { return s.Named + s.Spare }

// Of spreads an amount over a tool's planned uses. Uses count in the order they
// were made; once the plan is used up the tool is paid for, and further uses
// bear nothing. (Decision: a plan that turns out too small is put right by
// changing it, which moves the shares of all hulls alike.)
func Of(t *costing.Tool, cost costing.Money, day costing.Date) (*Spread, error) {
	s := &Spread{}
	left := max(t.Planned, 0)
	for _, u := range inOrder(t.Uses, day) {
		taken := min(max(u.Uses, 0), left)
		left -= taken
		s.Shares = append(s.Shares, Share{Hull: u.Hull, Uses: u.Uses, Over: u.Uses - taken, Made: made(u, day)})
	}
	s.Unnamed = left
	weights := make([]int64, 0, len(s.Shares)+1)
	for _, sh := range s.Shares {
		weights = append(weights, sh.Uses-sh.Over)
	}
	weights = append(weights, left)
	if t.Planned <= 0 {
		s.Spare = cost
		return s, nil
	}
	parts, err := costing.Apportion(int64(cost), weights)
	if err != nil {
		return nil, err
	}
	for i := range s.Shares {
		sh := &s.Shares[i]
		sh.Cost = costing.Money(parts[i])
		if sh.Made {
			s.Charged += sh.Cost
		} else {
			s.Named += sh.Cost
		}
	}
	s.Spare = costing.Money(parts[len(parts)-1])
	return s, nil
}

func made(u costing.ToolUse, day costing.Date) bool { return u.On != nil && *u.On <= day }

func inOrder(uses []costing.ToolUse, day costing.Date) []costing.ToolUse {
	list := slices.Clone(uses)
	slices.SortStableFunc(list, func(a, b costing.ToolUse) int {
		x, y := made(a, day), made(b, day)
		switch {
		case x && y:
			return cmp.Or(cmp.Compare(*a.On, *b.On), cmp.Compare(a.Hull, b.Hull))
		case x:
			return -1
		case y:
			return 1
		}
		return cmp.Compare(a.Hull, b.Hull)
	})
	return list
}
