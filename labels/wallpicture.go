package labels

import (
	"math"
	"strconv"
)

// The pictures of the wall cards are drawn here, on a field of 100 × 100. Each
// has a shape of its own; the colour only helps.
var (
	green  = colour{0, 120, 70}
	blue   = colour{0, 85, 160}
	orange = colour{200, 95, 0}
	red    = colour{185, 25, 35}
	violet = colour{95, 60, 140}
)

// field draws in hundredths of a square in the middle of a box.
type field struct {
	c    *canvas
	x, y float64
	unit float64
}

func (f field) at(xy ...float64) []float64 {
	out := make([]float64, len(xy))
	for i, v := range xy {
		out[i] = f.x + v*f.unit
		if i%2 == 1 {
			out[i] = f.y + v*f.unit
		}
	}
	return out
}

func (f field) area(c colour, xy ...float64) { f.c.fill((&path{}).polygon(f.at(xy...)...), c) }

func (f field) stroke(c colour, width float64, xy ...float64) {
	p, q := &path{}, f.at(xy...)
	p.move(q[0], q[1])
	for i := 2; i < len(q); i += 2 {
		p.line(q[i], q[i+1])
	}
	f.c.stroke(p, c, width*f.unit)
}

func (f field) ring(c colour, width, x, y, r float64) {
	q := f.at(x, y)
	f.c.stroke((&path{}).circle(q[0], q[1], r*f.unit), c, width*f.unit)
}

// arc strokes part of a circle, angles in degrees clockwise from the right,
// and ends it with an arrow's head.
func (f field) arc(c colour, width, x, y, r, from, to float64) {
	p := &path{}
	const steps = 24
	for i := range steps + 1 {
		a := (from + (to-from)*float64(i)/steps) * math.Pi / 180
		q := f.at(x+r*math.Cos(a), y+r*math.Sin(a))
		if i == 0 {
			p.move(q[0], q[1])
		} else {
			p.line(q[0], q[1])
		}
	}
	f.c.stroke(p, c, width*f.unit)
	a := to * math.Pi / 180
	turn := math.Copysign(1, to-from)
	dx, dy := -math.Sin(a)*turn, math.Cos(a)*turn
	ex, ey := x+r*math.Cos(a), y+r*math.Sin(a)
	f.head(c, ex+dx*14, ey+dy*14, dx, dy, 22)
}

// head is an arrow's head with its tip at x, y, pointing along dx, dy.
func (f field) head(c colour, x, y, dx, dy, size float64) {
	bx, by := x-dx*size, y-dy*size
	f.area(c, x, y, bx-dy*size*0.62, by+dx*size*0.62, bx+dy*size*0.62, by-dx*size*0.62)
}

func (r *WallCard) picture(c *canvas, b box) {
	side := math.Min(b.w, b.h)
	f := field{c, b.x + (b.w-side)/2, b.y + (b.h-side)/2, side / 100}
	switch r.Action {
	case ActionOff:
		f.off()
	case ActionDone:
		f.ring(green, 8, 50, 50, 45)
		f.stroke(green, 13, 26, 52, 44, 70, 76, 32)
	case ActionProgress:
		f.progress(r.Key)
	case ActionReturn:
		f.giveBack()
	case ActionWaste:
		f.waste()
	case ActionScrap:
		f.scrap()
	case ActionUndo:
		f.arc(violet, 11, 52, 55, 34, 120, -150)
	case ActionCancel:
		f.ring(red, 10, 50, 50, 44)
		f.stroke(red, 12, 33, 33, 67, 67)
		f.stroke(red, 12, 67, 33, 33, 67)
	case ActionCheck:
		f.check(r.Key)
	case ActionProblem:
		f.problem(r.Key)
	default:
		f.ring(black, 6, 50, 50, 44)
	}
}

// off is an open door with an arrow out of it.
func (f field) off() {
	f.stroke(blue, 6, 58, 20, 58, 6, 8, 6, 8, 94, 58, 94, 58, 80)
	f.area(blue, 8, 6, 36, 18, 36, 99, 8, 94)
	f.area(white, 28, 55, 32, 56, 32, 63, 28, 62)
	f.stroke(blue, 11, 48, 50, 78, 50)
	f.head(blue, 99, 50, 1, 0, 26)
}

// progress is a hull filled from the keel, with the figure on it.
func (f field) progress(key string) {
	share, _ := strconv.ParseFloat(key, 64)
	share = math.Min(math.Max(share, 0), 100) / 100
	hull := []float64{2, 52, 98, 52, 78, 92, 22, 92}
	level := 92 - 40*share
	inset := 20 * (level - 52) / 40
	f.area(colour{150, 190, 225}, 2+inset, level, 98-inset, level, 78, 92, 22, 92)
	f.stroke(blue, 5, append(hull, 2, 52)...)
	q := f.at(0, 4, 100, 46)
	f.c.write(box{q[0], q[1], q[2] - q[0], q[3] - q[1]}, key+" %",
		style{most: 40 * f.unit / mmPerPoint, least: 6, bold: true, lines: 1, align: centre, middle: true, colour: blue})
}

// giveBack is a drum on its way back to the shelf.
func (f field) giveBack() {
	f.stroke(green, 6, 6, 6, 6, 94)
	f.stroke(green, 6, 6, 30, 46, 30)
	f.stroke(green, 6, 6, 88, 46, 88)
	f.area(green, 14, 58, 38, 58, 38, 84, 14, 84)
	f.stroke(white, 3, 14, 66, 38, 66)
	f.stroke(green, 11, 96, 22, 96, 70, 76, 70)
	f.head(green, 52, 70, -1, 0, 26)
}

// waste is a bin with an offcut falling into it.
func (f field) waste() {
	f.area(orange, 18, 46, 82, 46, 75, 97, 25, 97)
	for _, x := range []float64{38, 50, 62} {
		f.stroke(white, 4, x, 56, 50+(x-50)*0.8, 88)
	}
	f.stroke(orange, 6, 10, 42, 90, 42)
	f.area(orange, 34, 6, 60, 2, 68, 18, 54, 30, 38, 24)
}

// scrap is a drum struck out.
func (f field) scrap() {
	dark := colour{70, 70, 70}
	f.area(colour{205, 205, 205}, 22, 12, 78, 12, 78, 92, 22, 92)
	f.stroke(dark, 5, 22, 12, 78, 12, 78, 92, 22, 92, 22, 12)
	for _, y := range []float64{38, 65} {
		f.stroke(dark, 6, 18, y, 82, y)
	}
	f.stroke(red, 11, 4, 6, 96, 96)
	f.stroke(red, 11, 96, 6, 4, 96)
}
