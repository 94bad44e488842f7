package labels

import (
	"errors"
	"fmt"
	"math"
)

// align places text in its box.
type align byte

const (
	left align = iota
	centre
	right
)

// style says how a text is set: as large as fits between least and most points.
type style struct {
	most, least float64
	bold        bool
	lines       int // at most so many; 0: as many as fit
	align       align
	middle      bool // centred in height; else from the top
	colour      colour
	whole       bool   // must not be shortened
	instead     string // what to do where it does not fit whole
}

// canvas draws one document's cards.
type canvas struct {
	pen
	t    *typesetter
	dpi  int
	say  func(string) string
	row  string // what is being drawn, for messages
	errs []error
	// placed, if set, hears where symbols went: for tests that measure them.
	placed func(placement)
	pages  int
	only   int // the one page to draw; 0: all
}

// placement is where a symbol stands on its page, quiet zones included.
type placement struct {
	page   int
	symbol *Symbol
	area   box
	module float64
}

// longest bounds the characters looked at: no card has room for as many.
const longest = 3000

// maxErrors bounds how many bad rows one run names.
const maxErrors = 20

func (c *canvas) fail(err error) {
	if err != nil && len(c.errs) < maxErrors {
		c.errs = append(c.errs, fmt.Errorf("%s: %w", c.row, err))
	}
}

// accept records what is wrong with a row and reports whether nothing is.
func (c *canvas) accept(errs ...error) bool {
	ok := true
	for _, err := range errs {
		c.fail(err)
		ok = ok && err == nil
	}
	return ok
}

// write sets text in a box and gives the height it took, in mm.
func (c *canvas) write(b box, text string, st style) float64 {
	s := clean(text)
	if s == "" {
		return 0
	}
	if r := []rune(s); len(r) > longest && !st.whole {
		s = string(r[:longest])
	}
	if err := c.t.check(s); err != nil {
		c.fail(err)
		return 0
	}
	got, err := set{}, errNoRoom
	if len(s) <= 4*longest {
		got, err = c.t.fit(b, s, st)
	}
	if err != nil {
		err = fmt.Errorf("%q: %w into %.0f × %.0f mm", clip(s), err, b.w, b.h)
		if st.instead != "" {
			err = fmt.Errorf("%w: %s", err, st.instead)
		}
		c.fail(err)
		return 0
	}
	em := got.points * mmPerPoint
	height := float64(len(got.lines)) * em * lineHeight
	baseline := b.y + ascent*em
	if st.middle {
		ink := float64(len(got.lines)-1)*em*lineHeight + capHeight*em
		baseline = b.y + (b.h-ink)/2 + capHeight*em
	}
	for _, line := range got.lines {
		c.line(b, baseline, line, em, st)
		baseline += em * lineHeight
	}
	return height
}

// line sets one line that has been found to fit.
func (c *canvas) line(b box, baseline float64, s string, em float64, st style) {
	width := c.t.width(s, st.bold) * em
	if width > b.w { // shaping as a whole may differ from its pieces by a hair
		em *= b.w / width
		width = b.w
	}
	x := b.x
	switch st.align {
	case centre:
		x += (b.w - width) / 2
	case right:
		x += b.w - width
	}
	if plain(s) {
		c.text(x, baseline, s, st.bold, em/mmPerPoint, st.colour)
		return
	}
	c.fill(c.outlined(b, s, st.bold, x, baseline, em), st.colour)
}

// Shaped text may rise above and hang below its line by this much of an em.
const (
	rise = 0.96
	hang = 0.30
)

// outlined shapes a line. Stacked accents that would leave it make it smaller,
// and marks that hang over an end of the box are moved in.
func (c *canvas) outlined(b box, s string, bold bool, x, baseline, em float64) *path {
	runs := c.t.shape(s, bold)
	p := &path{}
	c.t.outline(p, runs, x, baseline, em)
	ink := p.bounds()
	over := math.Max((baseline-ink.y)/(rise*em), (ink.y+ink.h-baseline)/(hang*em))
	if over = math.Max(over, ink.w/b.w); over > 1 {
		p = &path{}
		c.t.outline(p, runs, x, baseline, em/over)
		ink = p.bounds()
	}
	if ink.x < b.x {
		p.shift(b.x - ink.x)
	} else if out := ink.x + ink.w - b.x - b.w; out > 0 {
		p.shift(-out)
	}
	return p
}

// symbol draws a bar code with its quiet zones in the middle of a box, on
// whole dots, and gives the area it takes. Code 128 is as high as the box but
// never lower than the standard asks.
func (c *canvas) symbol(b box, kind Symbology, payload string, most float64) box {
	s, err := NewSymbol(kind, payload)
	if err != nil {
		c.fail(err)
		return b
	}
	quiet := float64(2 * kind.Quiet())
	modules, room := float64(s.Width)+quiet, math.Min(b.w, b.h)
	if kind == Code128 {
		modules, room = math.Max(modules, plannedModules), b.w
	}
	module, err := moduleFor(c.dpi, int(modules), room, most)
	if err != nil {
		c.fail(err)
		return b
	}
	area := box{w: (float64(s.Width) + quiet) * module, h: (float64(s.Height) + quiet) * module}
	if kind == Code128 {
		area.h = barHeight(area.w-quiet*module, b.h, c.dpi)
	}
	if area.h > b.h+1e-6 {
		c.fail(errors.New("the layout leaves no room for the bars")) // a fault of ours
	}
	area.x, area.y = snap(b.x+(b.w-area.w)/2, c.dpi), snap(b.y+(b.h-area.h)/2, c.dpi)
	zone := float64(kind.Quiet()) * module
	p, above := &path{}, zone
	if kind == Code128 {
		above = 0
	}
	s.bars(p, area.x+zone, area.y+above, module, area.h, dotSize(c.dpi))
	c.fill(p, black)
	if c.placed != nil {
		c.placed(placement{c.pages, s, area, module})
	}
	return area
}

// code draws Code 128 with its characters in groups underneath.
func (c *canvas) code(b box, payload string, most, points float64) {
	words := b.bottom(points*mmPerPoint*lineHeight, 0.6)
	c.symbol(b, Code128, payload, most)
	c.write(words, Group(payload), style{most: points, least: 5, bold: true, lines: 1, align: centre, middle: true})
}

// field draws a small caption over a value.
func (c *canvas) field(b box, caption, value string, st style) {
	const size = 6.0
	h := size * mmPerPoint * lineHeight
	c.write(b.top(h, 0.2), c.say(caption), style{most: size, least: 4.5, lines: 1, align: st.align, colour: grey})
	if clean(value) == "" {
		value = "–"
	}
	c.write(b, value, st)
}

// frame strokes a rectangle.
func (c *canvas) frame(b box, col colour, width float64) {
	c.stroke((&path{}).rect(b.x, b.y, b.w, b.h), col, width)
}
