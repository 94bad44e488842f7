package labels

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// recorder is a pen that notes where ink goes.
type recorder struct {
	t       *typesetter
	sizes   []box
	pages   int
	fills   []inked // fills and texts
	strokes []inked
	symbols []inked
}

type inked struct {
	page int
	box
	what string
}

func (r *recorder) page(w, h float64) {
	r.sizes, r.pages = append(r.sizes, box{0, 0, w, h}), r.pages+1
}

func bounds(p *path) box {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	grow := func(x, y float64) {
		x0, y0, x1, y1 = math.Min(x0, x), math.Min(y0, y), math.Max(x1, x), math.Max(y1, y)
	}
	q := p.points
	for _, op := range p.ops {
		switch op {
		case 'm', 'l':
			grow(q[0], q[1])
			q = q[2:]
		case 'c':
			grow(q[4], q[5])
			q = q[6:]
		case 'r':
			grow(q[0], q[1])
			grow(q[0]+q[2], q[1]+q[3])
			q = q[4:]
		}
	}
	return box{x0, y0, x1 - x0, y1 - y0}
}

func (r *recorder) fill(p *path, _ colour) {
	if len(p.ops) > 0 {
		r.fills = append(r.fills, inked{r.pages, bounds(p), "fill"})
	}
}

func (r *recorder) stroke(p *path, _ colour, w float64) {
	r.strokes = append(r.strokes, inked{r.pages, bounds(p).inset(-w / 2), "stroke"})
}

func (r *recorder) text(x, baseline float64, s string, bold bool, points float64, _ colour) {
	em := points * mmPerPoint
	r.fills = append(r.fills, inked{r.pages, box{x, baseline - capHeight*em, r.t.width(s, bold) * em, capHeight * em}, s})
}

func (r *recorder) picture(b box, _ []byte) { r.fills = append(r.fills, inked{r.pages, b, "photo"}) }

// record draws a sheet on a recorder.
func record(s *Sheet) (*recorder, error) {
	r := &recorder{}
	opt := s.Options
	opt.placed = func(p placement) {
		r.fills = r.fills[:len(r.fills)-1] // the bars themselves
		r.symbols = append(r.symbols, inked{p.page, p.area, p.symbol.Payload})
	}
	c, err := newCanvas(r, &opt)
	if err != nil {
		return nil, err
	}
	r.t = c.t
	return r, s.drawOn(c, opt)
}

func within(in, out box) bool {
	const e = 0.02
	return in.x >= out.x-e && in.y >= out.y-e && in.x+in.w <= out.x+out.w+e && in.y+in.h <= out.y+out.h+e
}

func overlap(a, b box) bool {
	const e = 0.02
	return a.x+e < b.x+b.w && b.x+e < a.x+a.w && a.y+e < b.y+b.h && b.y+e < a.y+a.h
}

// problems lists ink beyond the card, or in a symbol or its quiet zones.
func (r *recorder) problems() []string {
	var out []string
	for _, i := range append(r.fills, r.strokes...) {
		if !within(i.box, r.sizes[i.page-1]) {
			out = append(out, fmt.Sprintf("%.30q leaves the card: %+v", i.what, i.box))
		}
	}
	for n, s := range r.symbols {
		if !within(s.box, r.sizes[s.page-1]) {
			out = append(out, fmt.Sprintf("the symbol %s leaves the card: %+v", s.what, s.box))
		}
		for _, i := range r.fills {
			if i.page == s.page && overlap(i.box, s.box) {
				out = append(out, fmt.Sprintf("%.30q %+v runs into the symbol %s %+v", i.what, i.box, s.what, s.box))
			}
		}
		for _, o := range r.symbols[n+1:] {
			if o.page == s.page && overlap(o.box, s.box) {
				out = append(out, "two symbols overlap: "+s.what+", "+o.what)
			}
		}
	}
	return out
}

var scripts = []string{"abcdefghijklmnopqrstuvwxyz", "ABC-DEF", "łśżźćńę", "αβγδεζ", "дмитрокаб", "محمدالصي", "דודספן", "สมหญิงใจดี", "प्रियानायक", "𐀀", "ﬁ☃½²", "e\u0301\u0302"}

// anyText is text of any length in any script, with and without spaces.
func anyText(most int) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		var b strings.Builder
		for n := rapid.IntRange(1, most).Draw(t, "length"); b.Len() < n; {
			letters := []rune(rapid.SampledFrom(scripts).Draw(t, "script"))
			for range rapid.IntRange(1, 12).Draw(t, "letters") {
				b.WriteRune(rapid.SampledFrom(letters).Draw(t, "letter"))
			}
			if rapid.IntRange(0, 3).Draw(t, "gap") > 0 {
				b.WriteByte(' ')
			}
		}
		return b.String()
	})
}

// Whatever the yard writes into a card stays on it and out of the codes.
func TestNothingOverflows(t *testing.T) {
	fonts := testFonts(t)
	rapid.Check(t, func(rt *rapid.T) {
		text := func(most int) string {
			if rapid.IntRange(0, 5).Draw(rt, "blank") == 0 {
				return ""
			}
			return anyText(most).Draw(rt, "text")
		}
		lines := func(n, most int) (out []string) {
			for range rapid.IntRange(0, n).Draw(rt, "lines") {
				out = append(out, text(most))
			}
			return out
		}
		planned := func() (out []Planned) {
			for _, l := range lines(15, 60) {
				out = append(out, Planned{l, "1234567.891", text(8)})
			}
			return out
		}
		dpi := rapid.SampledFrom([]int{203, 300, 600}).Draw(rt, "dpi")
		name := anyText(330).Draw(rt, "name")
		code := func(k Kind) string { return payloads(k, 1)[0] }
		job := JobCard{Payload: code(Job), Job: text(40), Hull: text(60), Model: text(30), Stage: text(80), Part: name, Purpose: "rework", Rush: true, Hours: planned(), Materials: planned(), Cautions: lines(3, 60), Reprint: 3}
		lot := LotLabel{Payload: code(Lot), Item: name, Lot: text(30), Batch: text(40), Quantity: "123456.789", Unit: text(6), Received: "2026-03-01", Expires: text(12), Reprint: 9}
		if rapid.Bool().Draw(rt, "hazard") {
			lot.Hazard = &Hazard{"Danger", []string{"H226 Flammable liquid and vapour"}}
		}
		sheets := []Sheet{
			{Kind: SheetBadges, Badges: []Badge{{Payload: code(Person), Name: name, Trade: text(60), Crew: text(60), Number: text(20), Yard: text(80), Reprint: 2}}},
			{Kind: SheetBadges, Badges: []Badge{{Payload: code(Person), Name: name, Trade: text(60), Photo: smallFace}}},
			{Kind: SheetCrews, Crews: []CrewCard{{Payload: code(Crew), Name: name, Yard: text(80), Members: lines(30, 40)}}},
			{Kind: SheetJobs, Jobs: []JobCard{job}},
			{Kind: SheetLots, Lots: []LotLabel{lot}},
			{Kind: SheetLots, Lots: []LotLabel{lot}, LotSize: LotSmall, Matrix: rapid.SampledFrom([]Symbology{QR, DataMatrix}).Draw(rt, "matrix")},
			{Kind: SheetIndirects, Indirects: []IndirectCard{{Payload: code(Indirect), Key: text(40), Name: name}}},
			{Kind: SheetWall, Wall: []WallCard{{Payload: code(Wall), Action: ActionUndo, Words: append([]string{name}, lines(9, 40)...)}}},
			{Kind: SheetStage, Stage: StageSet{Hull: text(40), Stage: text(80), Jobs: []JobCard{job}}},
		}
		s := sheets[rapid.IntRange(0, len(sheets)-1).Draw(rt, "sheet")]
		s.Options = SheetOptions{DPI: dpi, Fonts: fonts}
		r, err := record(&s)
		if err != nil {
			if strings.Contains(err.Error(), errNoRoom.Error()) {
				return // a caution that does not fit whole is refused by name
			}
			rt.Fatalf("%s: %v", s.Kind, err)
		}
		if p := r.problems(); len(p) > 0 {
			rt.Fatalf("%s at %d dpi: %s", s.Kind, dpi, strings.Join(p, "\n"))
		}
	})
}

var smallFace = face()

func TestSampleSheetsAreClean(t *testing.T) {
	for name, s := range sampleSheets(t) {
		s.Options.Grid, s.Options.Outline = nil, false
		r, err := record(&s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, p := range r.problems() {
			t.Errorf("%s: %s", name, p)
		}
	}
}
