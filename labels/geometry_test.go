package labels

import (
	"bytes"
	"image"
	"math"
	"testing"
)

// Geometry is measured on the raster, not believed from the numbers that drew
// it. Tolerance 0.1 mm; at 203 dpi, where a dot is 0.125 mm, one dot.
func tolerance(dpi float64) float64 { return math.Max(0.1, 25.4/dpi+1e-9) }

func dark(page *image.Gray, x, y int) bool { return at(page, x, y) < 128 }

// runs lists the lengths of alternating runs along a row, from the first dark
// dot to the last, and where the first begins.
func runsOf(page *image.Gray, y, from, to int) (first int, runs []int) {
	for first = from; first < to && !dark(page, first, y); first++ {
	}
	last := to
	for last > first && !dark(page, last-1, y) {
		last--
	}
	for x := first; x < last; {
		n := x
		for n < last && dark(page, n, y) == dark(page, x, y) {
			n++
		}
		runs = append(runs, n-x)
		x = n
	}
	return first, runs
}

func TestSymbolsAreMadeOfWholeDots(t *testing.T) {
	checked := 0
	for name, p := range printedSheets(t) {
		dots := func(mm float64) float64 { return mm * p.dpi / 25.4 }
		for _, s := range p.symbols {
			page := p.pages[s.page-1]
			module := dots(s.module)
			if math.Abs(module-math.Round(module)) > 1e-6 || s.module < minModule-1e-9 {
				t.Errorf("%s: module of %.4f mm is %.3f dots", name, s.module, module)
			}
			quiet := float64(s.symbol.Quiet()) * s.module
			// A row through the middle of the first row of modules: it holds
			// the guard bars or finder patterns.
			row := s.area.y + quiet + s.module/2
			if s.symbol.Symbology == Code128 {
				row = s.area.y + s.area.h/2
			}
			first, runs := runsOf(page, int(dots(row)), int(math.Round(dots(s.area.x))), int(math.Round(dots(s.area.x+s.area.w))))
			if off := math.Abs(float64(first) - dots(s.area.x+quiet)); off > 1 {
				t.Errorf("%s: %s begins %.1f dots off", name, s.symbol.Payload, off)
			}
			want, x := []int{}, 0
			for x < s.symbol.Width {
				n := x
				for n < s.symbol.Width && s.symbol.Dark(n, 0) == s.symbol.Dark(x, 0) {
					n++
				}
				want = append(want, n-x)
				x = n
			}
			if last := len(want) - 1; !s.symbol.Dark(s.symbol.Width-1, 0) {
				want = want[:last]
			}
			if len(runs) != len(want) {
				t.Errorf("%s: %s %s has %d runs, want %d", name, s.symbol.Symbology, s.symbol.Payload, len(runs), len(want))
				continue
			}
			for i := range want {
				if float64(runs[i]) != math.Round(float64(want[i])*module) {
					t.Errorf("%s: %s %s run %d is %d dots, want %d × %.0f", name, s.symbol.Symbology, s.symbol.Payload, i, runs[i], want[i], module)
					break
				}
			}
			checkQuiet(t, name, p, s)
			if s.symbol.Symbology == Code128 {
				checkBars(t, name, p, s)
			}
			checked++
		}
	}
	t.Logf("%d symbols measured", checked)
}

// checkQuiet looks for ink in the quiet zones.
func checkQuiet(t *testing.T, name string, p printed, s placement) {
	t.Helper()
	dots := func(mm float64) int { return int(math.Round(mm * p.dpi / 25.4)) }
	page, quiet := p.pages[s.page-1], float64(s.symbol.Quiet())*s.module
	inner := image.Rect(dots(s.area.x+quiet), dots(s.area.y), dots(s.area.x+s.area.w-quiet), dots(s.area.y+s.area.h))
	if s.symbol.Symbology != Code128 {
		inner = image.Rect(inner.Min.X, dots(s.area.y+quiet), inner.Max.X, dots(s.area.y+s.area.h-quiet))
	}
	outer := image.Rect(dots(s.area.x), dots(s.area.y), dots(s.area.x+s.area.w), dots(s.area.y+s.area.h))
	for y := outer.Min.Y; y < outer.Max.Y; y++ {
		for x := outer.Min.X; x < outer.Max.X; x++ {
			if !(image.Point{x, y}).In(inner) && at(page, x, y) < 250 {
				t.Errorf("%s: ink in the quiet zone of %s %s, %d,%d", name, s.symbol.Symbology, s.symbol.Payload, x-outer.Min.X, y-outer.Min.Y)
				return
			}
		}
	}
}

// checkBars measures the height of the first bar.
func checkBars(t *testing.T, name string, p printed, s placement) {
	t.Helper()
	page := p.pages[s.page-1]
	x := int(math.Round((s.area.x+10*s.module)*p.dpi/25.4 + s.module*p.dpi/25.4/2))
	y := int((s.area.y + s.area.h/2) * p.dpi / 25.4)
	top, bottom := y, y
	for dark(page, x, top-1) {
		top--
	}
	for dark(page, x, bottom+1) {
		bottom++
	}
	height := float64(bottom-top+1) * 25.4 / p.dpi
	length := float64(s.symbol.Width) * s.module
	if least := math.Max(10, 0.15*length); height < least-tolerance(p.dpi) || math.Abs(height-s.area.h) > tolerance(p.dpi) {
		t.Errorf("%s: bars of %s are %.2f mm high, want %.2f and at least %.2f", name, s.symbol.Payload, height, s.area.h, least)
	}
}

func TestCardsHaveTheirSize(t *testing.T) {
	const dpi = 600
	for kind, sheet := range map[string]Sheet{
		"badge": {Kind: SheetBadges, Badges: sampleBadges()[:1]}, "job": {Kind: SheetJobs, Jobs: sampleJobs(1)}, "crew": {Kind: SheetCrews, Crews: sampleCrews()[:1]},
		"lot": {Kind: SheetLots, Lots: sampleLots()[:1]}, "small lot": {Kind: SheetLots, Lots: sampleLots()[:1], LotSize: LotSmall},
		"indirect": {Kind: SheetIndirects, Indirects: sampleIndirects()[:1]}, "wall": {Kind: SheetWall, Wall: sampleWall()},
	} {
		sheet.Options = SheetOptions{DPI: dpi, Fonts: testFonts(t)}
		card := sheet.Card()
		var b bytes.Buffer
		if _, err := sheet.Write(&b); err != nil {
			t.Fatal(err)
		}
		page := render(t, b.Bytes(), dpi)[0]
		w, h := float64(page.Rect.Dx())*25.4/dpi, float64(page.Rect.Dy())*25.4/dpi
		if math.Abs(w-card.Width) > 0.1 || math.Abs(h-card.Height) > 0.1 {
			t.Errorf("%s: page of %.2f × %.2f mm, want %.2f × %.2f", kind, w, h, card.Width, card.Height)
		}
	}
}

// The cut lines of a grid stand a card apart.
func TestGridsAreTrue(t *testing.T) {
	p := printedSheets(t)["badge-a4-600"]
	page, grid := p.pages[0], p.sheet.Options.Grid
	dots := func(mm float64) int { return int(math.Round(mm * p.dpi / 25.4)) }
	line := func(x, y, dx, dy int) float64 { // distance to the first ink, in mm
		for n := 0; n < 2000; n++ {
			if at(page, x+n*dx, y+n*dy) < 230 {
				return float64(n) * 25.4 / p.dpi
			}
		}
		return math.Inf(1)
	}
	midY := grid.Top + SizeBadge.Height*0.14 // between the lines of type
	left := line(0, dots(midY), 1, 0)
	right := 210 - line(page.Rect.Dx()-1, dots(midY), -1, 0)
	top := line(dots(grid.Left+30), 0, 0, 1)
	bottom := 297 - line(dots(grid.Left+30), page.Rect.Dy()-1, 0, -1)
	if math.Abs(right-left-2*SizeBadge.Width) > 0.2 || math.Abs(bottom-top-5*SizeBadge.Height) > 0.2 ||
		math.Abs(left-grid.Left) > 0.1 || math.Abs(top-grid.Top) > 0.1 {
		t.Errorf("edges at %.2f, %.2f, %.2f, %.2f mm; the grid begins at %.2f, %.2f", left, right, top, bottom, grid.Left, grid.Top)
	}
	t.Logf("two badges across: %.2f mm, five down: %.2f mm", right-left, bottom-top)
}
