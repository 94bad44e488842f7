package labels

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// UndrawableError says that no font holds a character of a text.
type UndrawableError struct {
	Text string
	Rune rune
}

func (e *UndrawableError) Error() string {
	return fmt.Sprintf("%q cannot be printed: no font holds %q (U+%04X, %s); put one that does into the fonts folder",
		clip(e.Text), e.Rune, e.Rune, language.LookupScript(e.Rune))
}

// typesetter measures and shapes text for one document.
type typesetter struct {
	fonts   *Fonts
	faces   map[*font.Font]*font.Face
	plainAt map[rune][2]float64 // advance in em by weight, of the base font
	shaper  shaping.HarfbuzzShaper
	split   shaping.Segmenter
	wrap    shaping.LineWrapper
}

func newTypesetter(fonts *Fonts) *typesetter {
	return &typesetter{fonts: fonts, faces: map[*font.Font]*font.Face{}, plainAt: map[rune][2]float64{}}
}

// clean folds white space, drops control characters and composes accents.
// No-break spaces are kept: they hold a number and its sign together.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case noBreak(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || r == unicode.ReplacementChar || r == '\ufeff':
			return -1
		}
		return r
	}, s)
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
	return norm.NFC.String(strings.TrimSpace(s))
}

// noBreak reports the no-break space, wide or narrow.
func noBreak(r rune) bool { return r == '\u00a0' || r == '\u202f' }

// check reports the first character that no font holds.
func (t *typesetter) check(s string) error {
	for _, r := range clean(s) {
		if !invisible(r) && t.fonts.face(r, false) == nil {
			return &UndrawableError{s, r}
		}
	}
	return nil
}

// invisible characters steer shaping and need no glyph.
func invisible(r rune) bool {
	return unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r) || r == ' '
}

// plain reports whether the PDF library can set s as it stands: it knows
// neither shaping nor fallback, and panics beyond the basic plane.
func plain(s string) bool {
	base := baseFonts()[0]
	for _, r := range s {
		if r > 0xFFFF || unicode.In(r, unicode.M, unicode.Cf) ||
			!unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Armenian, unicode.Georgian, unicode.Common) {
			return false
		}
		if _, ok := base.NominalGlyph(r); !ok {
			return false
		}
	}
	return true
}

func weightOf(bold bool) int {
	if bold {
		return 1
	}
	return 0
}

// width is the width of s in em.
func (t *typesetter) width(s string, bold bool) float64 {
	w := 0.0
	if plain(s) {
		for _, r := range s {
			w += t.advance(r, bold)
		}
		return w
	}
	for _, run := range t.shape(s, bold) {
		w += ems(run.Advance)
	}
	return w
}

func (t *typesetter) advance(r rune, bold bool) float64 {
	if a, ok := t.plainAt[r]; ok {
		return a[weightOf(bold)]
	}
	var a [2]float64
	for i, ft := range baseFonts() {
		face := t.face(ft)
		glyph, _ := face.NominalGlyph(r)
		a[i] = float64(face.HorizontalAdvance(glyph)) / float64(face.Upem())
	}
	t.plainAt[r] = a
	return a[weightOf(bold)]
}

func (t *typesetter) face(ft *font.Font) *font.Face {
	if t.faces[ft] == nil {
		t.faces[ft] = font.NewFace(ft)
	}
	return t.faces[ft]
}

// weighted resolves faces of one weight for the shaper.
type weighted struct {
	t    *typesetter
	bold bool
}

func (w weighted) ResolveFace(r rune) *font.Face {
	if ft := w.t.fonts.face(r, w.bold); ft != nil {
		return w.t.face(ft)
	}
	return w.t.face(baseFonts()[weightOf(w.bold)])
}

// shapedSize is the size at which runs are shaped; lengths are read back in em.
const shapedSize = 1000

func ems(v fixed.Int26_6) float64 { return float64(v) / 64 / shapedSize }

// shape gives the runs of one line in visual order.
func (t *typesetter) shape(s string, bold bool) []shaping.Output {
	text := []rune(s)
	if len(text) == 0 {
		return nil
	}
	direction := baseDirection(text)
	runs := t.split.Split(shaping.Input{
		Text: text, RunEnd: len(text), Direction: direction, Size: fixed.I(shapedSize),
		Face: t.face(baseFonts()[weightOf(bold)]), Language: language.DefaultLanguage(),
	}, weighted{t, bold})
	shaped := make([]shaping.Output, len(runs))
	for i, in := range runs {
		shaped[i] = t.shaper.Shape(in)
	}
	lines, _ := t.wrap.WrapParagraph(shaping.WrapConfig{Direction: direction, DisableTrailingWhitespaceTrim: true}, 1<<24, text, shaping.NewSliceIterator(shaped))
	var line shaping.Line
	for _, l := range lines {
		line = append(line, l...)
	}
	line = slices.Clone(line)
	slices.SortStableFunc(line, func(a, b shaping.Output) int { return int(a.VisualIndex - b.VisualIndex) })
	return line
}

// baseDirection is that of the first letter with one.
func baseDirection(text []rune) di.Direction {
	for _, r := range text {
		if unicode.In(r, unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam) {
			return di.DirectionRTL
		}
		if unicode.IsLetter(r) {
			break
		}
	}
	return di.DirectionLTR
}

// outline traces shaped runs from x on the baseline, with an em of the given
// size in mm.
func (t *typesetter) outline(p *path, runs []shaping.Output, x, baseline, em float64) {
	for _, run := range runs {
		scale := em / float64(run.Face.Upem())
		for _, g := range run.Glyphs {
			ox, oy := x+ems(g.XOffset)*em, baseline-ems(g.YOffset)*em
			if o, ok := run.Face.GlyphDataOutline(g.GlyphID); ok {
				traceGlyph(p, o.Segments, ox, oy, scale)
			}
			x += ems(g.Advance) * em
		}
	}
}

// traceGlyph adds a glyph's contours; quadratic curves become cubic ones.
func traceGlyph(p *path, segments []opentype.Segment, ox, oy, scale float64) {
	var cx, cy float64
	at := func(q opentype.SegmentPoint) (float64, float64) {
		return ox + float64(q.X)*scale, oy - float64(q.Y)*scale
	}
	for i, s := range segments {
		x, y := at(s.Args[len(s.ArgsSlice())-1])
		switch s.Op {
		case opentype.SegmentOpMoveTo:
			if i > 0 {
				p.close()
			}
			p.move(x, y)
		case opentype.SegmentOpLineTo:
			p.line(x, y)
		case opentype.SegmentOpQuadTo:
			qx, qy := at(s.Args[0])
			p.curve(cx+(qx-cx)*2/3, cy+(qy-cy)*2/3, x+(qx-x)*2/3, y+(qy-y)*2/3, x, y)
		case opentype.SegmentOpCubeTo:
			x1, y1 := at(s.Args[0])
			x2, y2 := at(s.Args[1])
			p.curve(x1, y1, x2, y2, x, y)
		}
		cx, cy = x, y
	}
	if len(segments) > 0 {
		p.close()
	}
}
