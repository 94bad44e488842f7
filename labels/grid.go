package labels

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Grid is a page of equal cells.
type Grid struct {
	Width, Height float64 // of the page in mm
	Columns, Rows int
	Left, Top     float64 // of the first cell
	StepX, StepY  float64 // from cell to cell
}

// GridOn spreads as many cards as fit in the middle of a page.
func GridOn(page, card Size) *Grid {
	g := &Grid{Width: page.Width, Height: page.Height, StepX: card.Width, StepY: card.Height}
	g.Columns, g.Rows = int(page.Width/card.Width+1e-9), int(page.Height/card.Height+1e-9)
	g.Left = (page.Width - float64(g.Columns)*card.Width) / 2
	g.Top = (page.Height - float64(g.Rows)*card.Height) / 2
	return g
}

// ParseGrid describes a sheet of labels as people measure it: cells "2x5" are
// columns by rows, at "5,13.5" is where the first cell begins from the left and
// the top of the page in mm, step "100,54" is how far it is from cell to cell.
// Without cells as many as fit are taken, without at they stand in the middle,
// without step they touch.
func ParseGrid(page, card Size, cells, at, step string) (*Grid, error) {
	g := GridOn(page, card)
	if strings.TrimSpace(cells) != "" {
		v, err := pair(cells, "x×X*")
		if err != nil || v[0] != math.Trunc(v[0]) || v[1] != math.Trunc(v[1]) {
			return nil, fmt.Errorf("%q are not columns by rows, such as 2x5", clip(cells))
		}
		g.Columns, g.Rows = int(min(v[0], maxCells)), int(min(v[1], maxCells))
	}
	if strings.TrimSpace(step) != "" {
		v, err := pair(step, ",;")
		if err != nil {
			return nil, fmt.Errorf("%q is not how far cells stand apart, such as 100,54 (mm)", clip(step))
		}
		g.StepX, g.StepY = v[0], v[1]
	}
	g.Left = (g.Width - float64(g.Columns-1)*g.StepX - card.Width) / 2
	g.Top = (g.Height - float64(g.Rows-1)*g.StepY - card.Height) / 2
	if strings.TrimSpace(at) != "" {
		v, err := pair(at, ",;")
		if err != nil {
			return nil, fmt.Errorf("%q is not where the first cell begins, such as 5,13.5 (mm)", clip(at))
		}
		g.Left, g.Top = v[0], v[1]
	}
	return g, g.check(card)
}

// pair reads two numbers that are not below nought.
func pair(s, between string) (v [2]float64, err error) {
	i := strings.IndexAny(s, between)
	if i < 0 {
		return v, strconv.ErrSyntax
	}
	rest := strings.TrimLeft(s[i:], between)
	for n, part := range []string{s[:i], rest} {
		v[n], err = strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || !(v[n] >= 0 && v[n] < 1e6) {
			return v, strconv.ErrSyntax
		}
	}
	return v, nil
}

// maxCells bounds the columns and the rows of a page.
const maxCells = 100

func (g *Grid) check(card Size) error {
	if g.Columns < 1 || g.Rows < 1 || g.Columns >= maxCells || g.Rows >= maxCells {
		return fmt.Errorf("a grid of %d × %d cells cannot hold cards of %.4g × %.4g mm", g.Columns, g.Rows, card.Width, card.Height)
	}
	if g.Columns > 1 && g.StepX < card.Width-1e-6 || g.Rows > 1 && g.StepY < card.Height-1e-6 {
		return fmt.Errorf("the grid's cells are smaller than the cards of %.4g × %.4g mm", card.Width, card.Height)
	}
	w := max(g.Left, 0) + float64(g.Columns-1)*g.StepX + card.Width
	h := max(g.Top, 0) + float64(g.Rows-1)*g.StepY + card.Height
	if g.Left < -1e-6 || g.Top < -1e-6 || w > g.Width+1e-6 || h > g.Height+1e-6 {
		return fmt.Errorf("the grid is bigger than the page: it needs %.4g × %.4g mm and the page has %.4g × %.4g", w, h, g.Width, g.Height)
	}
	return nil
}
