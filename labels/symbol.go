package labels

import (
	"errors"
	"fmt"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/boombuler/barcode/qr"
)

// Symbology is a kind of bar code.
type Symbology int

// The symbologies the sheets use.
const (
	Code128    Symbology = iota // ISO/IEC 15417
	QR                          // ISO/IEC 18004, level M
	DataMatrix                  // ISO/IEC 16022
)

// String names the symbology.
func (s Symbology) String() string { return [...]string{"Code 128", "QR", "Data Matrix"}[s] }

// Quiet is the quiet zone on each side, in modules.
func (s Symbology) Quiet() int { return [...]int{10, 4, 1}[s] }

// Symbol is a bar code as modules, without its quiet zone. A Code 128 symbol
// is one module high.
type Symbol struct {
	Symbology
	Payload       string
	Width, Height int
	CheckSum      int // of Code 128, modulo 103
	dark          []bool
}

// Dark reports whether a module is printed.
func (s *Symbol) Dark(x, y int) bool { return s.dark[y*s.Width+x] }

// NewSymbol encodes a payload of printable ASCII.
//
// The library's gaps are closed here and nowhere else. It takes ñ ò ó ô for
// the function characters, so everything but printable ASCII is refused. It
// adds no quiet zone and scales by resampling, so its matrix is copied and
// drawn by us. Its choice of code sets costs one symbol more than need be
// where an odd run of digits ends the text; a payload of ours is never wider
// for it than in set B alone, for which widths are planned.
func NewSymbol(kind Symbology, payload string) (*Symbol, error) {
	if payload == "" {
		return nil, errors.New("a bar code needs at least one character")
	}
	for i, r := range payload {
		if r < ' ' || r > '~' {
			return nil, fmt.Errorf("%q cannot stand in a bar code: character %d is not printable ASCII", clip(payload), i+1)
		}
	}
	var code barcode.Barcode
	var err error
	sum := 0
	switch kind {
	case Code128:
		var c barcode.BarcodeIntCS
		if c, err = code128.Encode(payload); err == nil {
			code, sum = c, c.CheckSum()
		}
	case QR:
		code, err = qr.Encode(payload, qr.M, qr.Auto)
	case DataMatrix:
		code, err = datamatrix.Encode(payload)
	default:
		err = errors.New("unknown symbology")
	}
	if err != nil {
		return nil, fmt.Errorf("%s of %q: %w", kind, clip(payload), err)
	}
	size := code.Bounds()
	s := &Symbol{Symbology: kind, Payload: payload, Width: size.Dx(), Height: size.Dy(), CheckSum: sum}
	s.dark = make([]bool, s.Width*s.Height)
	for y := range s.Height {
		for x := range s.Width {
			r, _, _, _ := code.At(x, y).RGBA()
			s.dark[y*s.Width+x] = r < 0x8000
		}
	}
	return s, nil
}

// hair is how much a bar stays short of whole dots on each side, as a share of
// a dot: PDF paints every dot that a shape touches, so that an edge rounded
// outwards would widen the bar by a dot.
const hair = 0.02

// bars appends the dark modules to a path as runs, with the symbol's corner
// (quiet zone left out) at x, y; module, height and dot are in mm.
func (s *Symbol) bars(p *path, x, y, module, height, dot float64) {
	if s.Symbology != Code128 {
		height = module
	}
	h := hair * dot
	for row := range s.Height {
		for from := 0; from < s.Width; from++ {
			if !s.Dark(from, row) {
				continue
			}
			to := from
			for to < s.Width && s.Dark(to, row) {
				to++
			}
			p.rect(x+float64(from)*module+h, y+float64(row)*height+h, float64(to-from)*module-2*h, height-2*h)
			from = to
		}
	}
}
