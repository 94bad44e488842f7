package labels

// The pictures of checks and problems, on a field of 100 × 100.

// check is an instrument: a gauge, a drop under a glass, a thermometer, a cloud's
// drops.
func (f field) check(key string) {
	switch key {
	case "temperature":
		f.stroke(blue, 5, 40, 62, 40, 10, 60, 10, 60, 62)
		f.ring(blue, 5, 50, 76, 19)
		f.disc(red, 50, 76, 13)
		f.stroke(red, 9, 50, 70, 50, 28)
		for _, y := range []float64{20, 34, 48} {
			f.stroke(blue, 4, 68, y, 84, y)
		}
	case "humidity":
		for _, at := range [][2]float64{{28, 40}, {70, 30}, {50, 70}} {
			f.drop(blue, at[0], at[1], 1)
		}
	case "leak":
		f.ring(blue, 7, 42, 42, 32)
		f.stroke(blue, 12, 66, 66, 94, 94)
		f.drop(red, 42, 44, 1)
	default: // vacuum
		f.ring(blue, 7, 50, 52, 43)
		for _, t := range [][4]float64{{50, 14, 50, 24}, {16, 40, 26, 44}, {84, 40, 74, 44}, {24, 74, 32, 68}, {76, 74, 68, 68}} {
			f.stroke(blue, 5, t[:]...)
		}
		f.stroke(red, 7, 50, 52, 28, 66)
		f.disc(blue, 50, 52, 7)
	}
}

// problem is a flag, or a picture of what is wrong.
func (f field) problem(key string) {
	switch key {
	case "leak":
		f.stroke(blue, 8, 4, 30, 42, 30)
		f.stroke(blue, 8, 58, 30, 96, 30)
		f.stroke(red, 6, 44, 12, 56, 48)
		f.stroke(red, 6, 56, 12, 44, 48)
		f.drop(blue, 50, 76, 1.3)
	case "dry_spot":
		for _, v := range []float64{8, 22, 36, 50, 64, 78, 92} {
			f.stroke(orange, 3, v, 6, v, 94)
			f.stroke(orange, 3, 6, v, 94, v)
		}
		f.area(white, 26, 42, 40, 26, 62, 30, 78, 48, 68, 72, 42, 76, 24, 60)
		f.stroke(red, 6, 26, 42, 40, 26, 62, 30, 78, 48, 68, 72, 42, 76, 24, 60, 26, 42)
	case "damage":
		f.area(colour{150, 190, 225}, 4, 56, 96, 56, 78, 92, 22, 92)
		f.stroke(blue, 5, 4, 56, 96, 56, 78, 92, 22, 92, 4, 56)
		f.stroke(red, 8, 54, 4, 40, 34, 60, 46, 42, 74, 56, 90)
	case "missing":
		f.stroke(blue, 6, 8, 6, 8, 96)
		f.stroke(blue, 6, 92, 6, 92, 96)
		f.stroke(blue, 6, 8, 92, 92, 92)
		f.stroke(blue, 6, 8, 36, 92, 36)
		for _, d := range [][4]float64{{30, 52, 42, 52}, {58, 52, 70, 52}, {30, 86, 42, 86}, {58, 86, 70, 86}, {30, 52, 30, 64}, {70, 52, 70, 64}, {30, 74, 30, 86}, {70, 74, 70, 86}} {
			f.stroke(red, 5, d[:]...)
		}
	case "waiting":
		f.area(orange, 18, 8, 82, 8, 54, 50, 82, 92, 18, 92, 46, 50)
		f.area(white, 30, 15, 70, 15, 61, 28, 39, 28)
		f.stroke(orange, 7, 12, 8, 88, 8)
		f.stroke(orange, 7, 12, 92, 88, 92)
	case "unsafe":
		f.stroke(red, 9, 50, 8, 96, 90, 4, 90, 50, 8)
		f.stroke(black, 9, 50, 36, 50, 64)
		f.disc(black, 50, 77, 6)
	case "idea":
		f.ring(green, 8, 50, 38, 32)
		f.stroke(green, 7, 34, 78, 66, 78)
		f.stroke(green, 7, 40, 92, 60, 92)
		f.stroke(green, 7, 50, 64, 50, 40)
	default:
		f.stroke(red, 9, 14, 4, 14, 98)
		f.area(red, 14, 8, 94, 8, 74, 32, 94, 56, 14, 56)
	}
}

// disc is a filled circle.
func (f field) disc(c colour, x, y, r float64) {
	q := f.at(x, y)
	f.c.fill((&path{}).circle(q[0], q[1], r*f.unit), c)
}

// drop is a drop of size 26 × 36 around a middle.
func (f field) drop(c colour, x, y, scale float64) {
	f.disc(c, x, y+6*scale, 12*scale)
	f.area(c, x, y-20*scale, x+11*scale, y+2*scale, x-11*scale, y+2*scale)
}
