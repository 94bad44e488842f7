package labels

import (
	"fmt"
	"math"
)

// plannedModules is the width in modules that a payload of ours may take in Code 128,
// quiet zones included: 11 for each of eight characters and 35 around them.
const plannedModules = 11*payloadLength + 35 + 20

// minModule is the smallest module we print, in mm: 2 dots at 203 dpi.
const minModule = 0.25

// Printer resolutions, dots per inch.
const (
	DPI203 = 203
	DPI300 = 300
	DPI600 = 600
)

// dotSize is the size of a printer's dot in mm. Label printers of "203 dpi"
// have 8 dots a mm, which is 203.2.
func dotSize(dpi int) float64 {
	if dpi == DPI203 {
		return 1.0 / 8
	}
	return 25.4 / float64(dpi)
}

func checkDPI(dpi int) error {
	switch dpi {
	case DPI203, DPI300, DPI600:
		return nil
	}
	return fmt.Errorf("a printer of %d dpi is not known: choose 203, 300 or 600", dpi)
}

// snap moves a length to the nearest whole printer dot.
func snap(v float64, dpi int) float64 {
	d := dotSize(dpi)
	return math.Round(v/d) * d
}

// moduleFor is the largest module of whole dots with which a symbol of so many
// modules (quiet zones included) fits the room, but not above most (mm).
func moduleFor(dpi, modules int, room, most float64) (float64, error) {
	d := dotSize(dpi)
	dots := math.Floor(room/float64(modules)/d + 1e-9)
	dots = math.Min(dots, math.Floor(most/d+1e-9))
	if dots*d < minModule-1e-9 {
		return 0, fmt.Errorf("a bar code of %d modules does not fit %.1f mm at %d dpi", modules, room, dpi)
	}
	return dots * d, nil
}

// barHeight is the height of Code 128 bars in whole dots: at least 15 % of the
// length and never under 10 mm; what the layout offers, if that is more.
func barHeight(length, offered float64, dpi int) float64 {
	d := dotSize(dpi)
	least := math.Ceil(math.Max(0.15*length, 10)/d-1e-9) * d
	return math.Max(least, math.Floor(offered/d+1e-9)*d)
}
