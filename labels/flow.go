package labels

import (
	"errors"
	"math"
	"strings"

	"github.com/go-text/typesetting/segmenter"
)

// Lines of the base font, in em.
const (
	lineHeight = 1.17
	ascent     = 0.93
	capHeight  = 0.73
	mmPerPoint = 25.4 / 72
)

// errNoRoom says that a text that must not be shortened does not fit.
var errNoRoom = errors.New("the text does not fit")

// piece is a stretch of text that a line may end after.
type piece struct {
	text         string
	width, space float64 // in em, without and of the trailing space
}

func (t *typesetter) pieces(s string, bold bool) []piece {
	var seg segmenter.Segmenter
	seg.Init([]rune(s))
	var ps []piece
	for it := seg.LineIterator(); it.Next(); {
		text := string(it.Line().Text)
		word := strings.TrimRight(text, " ")
		p := piece{text: text, width: t.width(word, bold)}
		if word != text {
			p.space = t.advance(' ', bold)
		}
		ps = append(ps, p)
	}
	return ps
}

// wrapPieces fills lines of at most limit em. It is not ok where one piece
// alone is wider.
func wrapPieces(ps []piece, limit float64) (lines []string, ok bool) {
	var line strings.Builder
	used, gap := 0.0, 0.0
	for _, p := range ps {
		if p.width > limit {
			return nil, false
		}
		if line.Len() > 0 && used+gap+p.width > limit {
			lines = append(lines, strings.TrimRight(line.String(), " "))
			line.Reset()
			used, gap = 0, 0
		}
		line.WriteString(p.text)
		used += gap + p.width
		gap = p.space
	}
	return append(lines, strings.TrimRight(line.String(), " ")), true
}

// shatter breaks pieces wider than limit between graphemes.
func (t *typesetter) shatter(ps []piece, limit float64, bold bool) []piece {
	var out []piece
	for _, p := range ps {
		if p.width <= limit {
			out = append(out, p)
			continue
		}
		var seg segmenter.Segmenter
		seg.Init([]rune(p.text))
		part, width := "", 0.0
		for it := seg.GraphemeIterator(); it.Next(); {
			g := string(it.Grapheme().Text)
			w := t.width(g, bold)
			if part != "" && width+w > limit {
				out = append(out, piece{text: part, width: width})
				part, width = "", 0
			}
			part, width = part+g, width+w
		}
		out = append(out, piece{text: part, width: math.Min(width, limit)})
	}
	return out
}

// set is a text laid out for a box.
type set struct {
	lines  []string
	points float64
}

// fit finds the largest size at which s fits the box: first with whole words,
// then breaking them, at last cutting the end off.
func (t *typesetter) fit(b box, s string, st style) (set, error) {
	ps := t.pieces(s, st.bold)
	for _, breakWords := range []bool{false, true} {
		for points := st.most; ; points = math.Max(points*0.96, st.least) {
			limit, room := t.room(b, st, points)
			parts := ps
			if breakWords {
				parts = t.shatter(ps, limit, st.bold)
			}
			if lines, ok := wrapPieces(parts, limit); ok && len(lines) <= room {
				return set{lines, points}, nil
			}
			if points <= st.least {
				break
			}
		}
	}
	if st.whole {
		return set{}, errNoRoom
	}
	limit, room := t.room(b, st, st.least)
	lines, _ := wrapPieces(t.shatter(ps, limit, st.bold), limit)
	room = max(room, 1)
	if len(lines) > room {
		lines = lines[:room]
		lines[room-1] = t.cut(lines[room-1], limit, st.bold)
	}
	return set{lines, st.least}, nil
}

// room is the width of a line in em and the number of lines at a size.
func (t *typesetter) room(b box, st style, points float64) (limit float64, lines int) {
	em := points * mmPerPoint
	lines = int(b.h/(em*lineHeight) + 1e-6)
	if st.lines > 0 {
		lines = min(lines, st.lines)
	}
	return b.w / em, lines
}

// cut shortens a line until an ellipsis fits behind it.
func (t *typesetter) cut(line string, limit float64, bold bool) string {
	const dots = "…"
	var seg segmenter.Segmenter
	seg.Init([]rune(line))
	var ends []int
	for it := seg.GraphemeIterator(); it.Next(); {
		ends = append(ends, it.Grapheme().OffsetInBytes+it.Grapheme().LengthInBytes)
	}
	for i := len(ends) - 1; i >= 0; i-- {
		if short := strings.TrimRight(line[:ends[i]], " ,;") + dots; t.width(short, bold) <= limit {
			return short
		}
	}
	return dots
}
