package labels

import "math"

// colour is red, green, blue.
type colour [3]uint8

var (
	black = colour{0, 0, 0}
	white = colour{255, 255, 255}
	grey  = colour{90, 90, 90}
	faint = colour{190, 190, 190}
)

// pen is what a sheet is drawn with: lengths in mm from the page's top left
// corner, sizes of type in points.
type pen interface {
	page(width, height float64)
	fill(p *path, c colour)
	stroke(p *path, c colour, width float64)
	// text sets plain text, which the base font covers, on its baseline.
	text(x, baseline float64, s string, bold bool, points float64, c colour)
	picture(b box, jpeg []byte)
}

// box is a rectangle in mm.
type box struct{ x, y, w, h float64 }

// inset shrinks a box on every side.
func (b box) inset(d float64) box { return box{b.x + d, b.y + d, b.w - 2*d, b.h - 2*d} }

// top cuts a strip of height h off the top of the box, with a gap below it.
func (b *box) top(h, gap float64) box {
	strip := box{b.x, b.y, b.w, h}
	b.y += h + gap
	b.h -= h + gap
	return strip
}

// bottom cuts a strip of height h off the bottom, with a gap above it.
func (b *box) bottom(h, gap float64) box {
	b.h -= h + gap
	return box{b.x, b.y + b.h + gap, b.w, h}
}

// left cuts a strip of width w off the left, with a gap beside it.
func (b *box) left(w, gap float64) box {
	strip := box{b.x, b.y, w, b.h}
	b.x += w + gap
	b.w -= w + gap
	return strip
}

// right cuts a strip of width w off the right, with a gap beside it.
func (b *box) right(w, gap float64) box {
	b.w -= w + gap
	return box{b.x + b.w + gap, b.y, w, b.h}
}

// path is a run of lines and curves in mm.
type path struct {
	ops    []byte // m, l, c, h as in PDF; r is a rectangle
	points []float64
}

func (p *path) move(x, y float64) *path {
	p.ops = append(p.ops, 'm')
	p.points = append(p.points, x, y)
	return p
}

func (p *path) line(x, y float64) *path {
	p.ops = append(p.ops, 'l')
	p.points = append(p.points, x, y)
	return p
}

func (p *path) curve(x1, y1, x2, y2, x, y float64) *path {
	p.ops = append(p.ops, 'c')
	p.points = append(p.points, x1, y1, x2, y2, x, y)
	return p
}

func (p *path) close() *path {
	p.ops = append(p.ops, 'h')
	return p
}

func (p *path) rect(x, y, w, h float64) *path {
	p.ops = append(p.ops, 'r')
	p.points = append(p.points, x, y, w, h)
	return p
}

func (p *path) polygon(xy ...float64) *path {
	p.move(xy[0], xy[1])
	for i := 2; i < len(xy); i += 2 {
		p.line(xy[i], xy[i+1])
	}
	return p.close()
}

// arcControl places the control points of a quarter circle.
const arcControl = 0.5522847498

func (p *path) circle(x, y, r float64) *path {
	k := r * arcControl
	return p.move(x+r, y).
		curve(x+r, y+k, x+k, y+r, x, y+r).curve(x-k, y+r, x-r, y+k, x-r, y).
		curve(x-r, y-k, x-k, y-r, x, y-r).curve(x+k, y-r, x+r, y-k, x+r, y).close()
}

func (p *path) rounded(b box, r float64) *path {
	k := r * (1 - arcControl)
	x, y, X, Y := b.x, b.y, b.x+b.w, b.y+b.h
	return p.move(x+r, y).line(X-r, y).curve(X-k, y, X, y+k, X, y+r).
		line(X, Y-r).curve(X, Y-k, X-k, Y, X-r, Y).line(x+r, Y).
		curve(x+k, Y, x, Y-k, x, Y-r).line(x, y+r).curve(x, y+k, x+k, y, x+r, y).close()
}

// bounds is the box around the points of a path without rectangles.
func (p *path) bounds() box {
	if len(p.points) == 0 {
		return box{}
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := 0; i < len(p.points); i += 2 {
		x0, x1 = math.Min(x0, p.points[i]), math.Max(x1, p.points[i])
		y0, y1 = math.Min(y0, p.points[i+1]), math.Max(y1, p.points[i+1])
	}
	return box{x0, y0, x1 - x0, y1 - y0}
}

// shift moves a path without rectangles sideways.
func (p *path) shift(dx float64) {
	for i := 0; i < len(p.points); i += 2 {
		p.points[i] += dx
	}
}
