package labels

import (
	"encoding/base64"
	"fmt"
	"io"
	"strconv"
)

// looked is how many cards Preview looks at beyond the page it shows.
const looked = 400

// Preview draws one page of the sheet (from 1) as an SVG picture, by the same
// layout that Write prints, and gives the number of pages. All type is drawn
// as outlines, so that every screen shows what the paper will. What is wrong
// anywhere in the sheet is an error, but for long runs only the page is looked at.
func (s *Sheet) Preview(w io.Writer, page int) (pages int, err error) {
	d := &svgPen{wanted: page}
	opt := s.Options
	c, err := newCanvas(d, &opt)
	if err != nil {
		return 0, err
	}
	d.t = c.t
	if len(s.Payloads())*opt.Copies > looked {
		c.only = page
	}
	if err := s.drawOn(c, opt); err != nil {
		return 0, err
	}
	if page < 1 || page > c.pages {
		return c.pages, fmt.Errorf("there is no page %d: the sheet has %d", page, c.pages)
	}
	_, err = w.Write(append(d.buf, "</svg>\n"...))
	return c.pages, err
}

// drawOn draws any kind of sheet.
func (s *Sheet) drawOn(c *canvas, opt SheetOptions) error {
	switch s.Kind {
	case SheetWall:
		return c.drawWall(s.Wall, s.OnWall, opt.Progress)
	case SheetStage:
		if opt.Grid == nil {
			opt.Grid = GridOn(A4, SizeJob)
		}
		return s.Stage.drawAll(c, opt)
	}
	run, err := s.run()
	if err != nil {
		return err
	}
	return run.drawAll(c, opt)
}

// svgPen keeps the page that is wanted.
type svgPen struct {
	t          *typesetter
	at, wanted int
	buf        []byte
}

func (d *svgPen) off() bool { return d.at != d.wanted }

func (d *svgPen) page(width, height float64) {
	if d.at++; d.off() {
		return
	}
	d.buf = fmt.Appendf(d.buf, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g">`, width, height, width, height)
	d.buf = fmt.Appendf(d.buf, `<rect width="%g" height="%g" fill="#fff"/>`, width, height)
}

func (c colour) hex() string { return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }

func (d *svgPen) trace(p *path) {
	d.buf = append(d.buf, `<path d="`...)
	q := p.points
	for _, op := range p.ops {
		n := 2
		switch op {
		case 'm', 'l':
			d.buf = append(d.buf, op-'a'+'A')
		case 'c':
			d.buf, n = append(d.buf, 'C'), 6
		case 'h':
			d.buf, n = append(d.buf, 'Z'), 0
		case 'r':
			d.buf = fmt.Appendf(d.buf, "M%.3f %.3fh%.3fv%.3fh%.3fZ", q[0], q[1], q[2], q[3], -q[2])
			q, n = q[4:], 0
		}
		for _, v := range q[:n] {
			d.buf = append(strconv.AppendFloat(d.buf, v, 'f', 3, 64), ' ')
		}
		q = q[n:]
	}
}

func (d *svgPen) fill(p *path, c colour) {
	if d.off() || len(p.ops) == 0 {
		return
	}
	d.trace(p)
	d.buf = fmt.Appendf(d.buf, `" fill="%s"/>`, c.hex())
}

func (d *svgPen) stroke(p *path, c colour, width float64) {
	if d.off() {
		return
	}
	d.trace(p)
	d.buf = fmt.Appendf(d.buf, `" fill="none" stroke="%s" stroke-width="%g" stroke-linecap="round" stroke-linejoin="round"/>`, c.hex(), width)
}

func (d *svgPen) text(x, baseline float64, s string, bold bool, points float64, c colour) {
	if d.off() {
		return
	}
	p := &path{}
	d.t.outline(p, d.t.shape(s, bold), x, baseline, points*mmPerPoint)
	d.fill(p, c)
}

func (d *svgPen) picture(b box, jpeg []byte) {
	if d.off() {
		return
	}
	d.buf = fmt.Appendf(d.buf, `<image x="%g" y="%g" width="%g" height="%g" href="data:image/jpeg;base64,%s"/>`, b.x, b.y, b.w, b.h, base64.StdEncoding.EncodeToString(jpeg))
}
