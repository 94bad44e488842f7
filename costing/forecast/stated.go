package forecast

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
)

// Say lets what an estimator stated by an instant stand in place of the rule:
// the last statement of each cell. A statement where nothing was estimated or
// spent makes a cell of its own; one that was taken back leaves the rule.
//
// (Decision: what is spent after a statement comes off it. It says how much
// there was still to pay when it was made, so what it foresees at completion
// stays until somebody states otherwise. Without the amount then spent it
// stands as it is. Nothing is left to do once the stage is done.)
func Say(cells []Cell, said []costing.StatedRest, at costing.Instant) []Cell {
	last := map[Key]*costing.StatedRest{}
	for i := range said {
		s := &said[i]
		k := Key{s.Hull, s.Stage, s.Element, s.Apart}
		if was := last[k]; s.At <= at && (was == nil || was.At <= s.At) {
			last[k] = s
		}
	}
	if len(last) == 0 {
		return cells
	}
	for i := range cells {
		c := &cells[i]
		k := Key{c.Hull, c.Stage, c.Element, c.Apart}
		if s := last[k]; s != nil {
			c.state(s)
			delete(last, k)
		}
	}
	for k, s := range last {
		if s.Rest != nil {
			c := Cell{Hull: k.Hull, Stage: k.Stage, Element: k.Element, Apart: k.Apart, Progress: new(big.Rat), Methods: map[Method]costing.Money{}}
			c.state(s)
			cells = append(cells, c)
		}
	}
	slices.SortFunc(cells, compareCells)
	return cells
}

func compareCells(a, b Cell) int {
	return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage),
		cmp.Compare(a.Element, b.Element), compareBool(a.Apart, b.Apart))
}

// state chooses what was stated.
func (c *Cell) state(s *costing.StatedRest) {
	if s.Rest == nil {
		return
	}
	rest := *s.Rest
	if s.Spent != nil {
		rest = max(*s.Spent+rest-c.Actual, 0)
	}
	if c.Progress.Cmp(big.NewRat(1, 1)) >= 0 {
		rest = 0
	}
	c.Methods[Stated], c.Chosen, c.Said = rest, Stated, s
}
