package labels

import (
	"errors"
	"fmt"
	"io"
	"time"
)

// SheetOptions say how a run is printed.
type SheetOptions struct {
	DPI     int   // the printer's resolution: 203, 300 or 600; 0 is 300
	Grid    *Grid // cards on a page; nil: each on a page of its own size
	Start   int   // first free cell of the first page, from 1 row by row; 0 is 1
	Copies  int   // of each card; 0 is 1
	Outline bool  // draw each card's edge, for cutting from plain paper
	Fonts   *Fonts
	// Say translates a caption ("Planned hours"); nil leaves it English.
	Say func(caption string) string
	// Progress hears how many cards are drawn, now and then and at the end.
	Progress func(done, total int)
	Made     time.Time // stamped into the file; zero is a fixed day

	placed func(placement)
}

// Size is a card's size in mm.
type Size struct{ Width, Height float64 }

// The sizes of cards.
var (
	SizeBadge    = Size{85.60, 53.98} // ID-1, ISO/IEC 7810
	SizeJob      = Size{105, 148}     // A6
	SizeCrew     = Size{105, 148}
	SizeLot      = Size{100, 50}
	SizeLotSmall = Size{50, 25}
	SizeIndirect = Size{100, 50}
	A4           = Size{210, 297}
	A3           = Size{297, 420}
)

// maxCards bounds one file.
const maxCards = 20_000

// newCanvas checks the options common to all sheets.
func newCanvas(p pen, opt *SheetOptions) (*canvas, error) {
	if opt.DPI == 0 {
		opt.DPI = DPI300
	}
	if err := checkDPI(opt.DPI); err != nil {
		return nil, err
	}
	if opt.Start == 0 {
		opt.Start = 1
	}
	if opt.Copies == 0 {
		opt.Copies = 1
	}
	if opt.Copies < 0 || opt.Copies > 1000 {
		return nil, fmt.Errorf("%d copies: choose 1 to 1,000", opt.Copies)
	}
	say := opt.Say
	if say == nil {
		say = func(s string) string { return s }
	}
	return &canvas{pen: p, t: newTypesetter(opt.Fonts), dpi: opt.DPI, say: say, placed: opt.placed}, nil
}

func (c *canvas) newPage(w, h float64) {
	c.pages++
	c.page(w, h)
}

// cards is one run of equal cards.
type cards struct {
	title string
	size  Size
	n     int
	name  func(i int) string // for messages
	draw  func(c *canvas, b box, i int)
	edge  func(b box) *path // the card's outline, if it is no rectangle
}

// write draws a run as PDF. Nothing is written unless every card is good.
func (r cards) write(w io.Writer, opt SheetOptions) (pages int, err error) {
	d := newPDF(r.title, opt.Made)
	c, err := newCanvas(d, &opt)
	if err != nil {
		return 0, err
	}
	if err := r.drawAll(c, opt); err != nil {
		return 0, err
	}
	return c.pages, d.writeTo(w)
}

func (r cards) drawAll(c *canvas, opt SheetOptions) error {
	total := r.n * opt.Copies
	if total == 0 {
		return errors.New("there is nothing to print")
	}
	if total > maxCards {
		return fmt.Errorf("%d cards are too many for one file: at most %d", total, maxCards)
	}
	grid := opt.Grid
	if grid == nil {
		grid = &Grid{Width: r.size.Width, Height: r.size.Height, Columns: 1, Rows: 1}
	}
	if err := grid.check(r.size); err != nil {
		return err
	}
	cells := grid.Columns * grid.Rows
	if opt.Start < 1 || opt.Start > cells {
		return fmt.Errorf("the sheet has cells 1 to %d, not %d", cells, opt.Start)
	}
	for k := range total {
		cell := (opt.Start - 1 + k) % cells
		if k == 0 || cell == 0 {
			c.newPage(grid.Width, grid.Height)
		}
		b := box{grid.Left + float64(cell%grid.Columns)*grid.StepX, grid.Top + float64(cell/grid.Columns)*grid.StepY, r.size.Width, r.size.Height}
		if c.only > 0 && c.pages != c.only {
			continue
		}
		i := k / opt.Copies
		c.row = r.name(i)
		if opt.Outline {
			r.outline(c, b)
		}
		r.draw(c, b, i)
		if opt.Progress != nil && (k%50 == 49 || k == total-1) {
			opt.Progress(k+1, total)
		}
		if len(c.errs) >= maxErrors {
			c.errs = append(c.errs, errors.New("the rows after these were not looked at"))
			break
		}
	}
	return errors.Join(c.errs...)
}

func (r cards) outline(c *canvas, b box) {
	if r.edge != nil {
		c.stroke(r.edge(b), faint, 0.1)
		return
	}
	c.frame(b, faint, 0.1)
}

// checkCode says what is wrong with a card's code, if anything.
func checkCode(payload string, kind Kind) error {
	if err := Check(payload); err != nil {
		return err
	}
	if Kind(payload[0]) != kind {
		return fmt.Errorf("%s is the code of a %s, not of a %s", payload, Kind(payload[0]), kind)
	}
	return nil
}

// checkText refuses an empty text.
func checkText(what, s string) error {
	if clean(s) == "" {
		return fmt.Errorf("the %s is empty", what)
	}
	return nil
}
