package labels

import (
	"errors"
	"fmt"
	"io"
)

// LotLabel is the label on a tin, drum or roll.
type LotLabel struct {
	Payload  string
	Item     string
	Name     string // what the item is called, if not by its key
	Lot      string // the yard's own key
	Batch    string // the supplier's
	Quantity string
	Unit     string
	Received string
	Expires  string
	// Hazard is given for hazardous goods, as the yard entered it from the
	// lot's own safety data sheet.
	Hazard  *Hazard
	Notes   string // other words the yard asks for, such as "mixed pots run hot"
	Reprint int
}

// Hazard is what the lot's safety data sheet says, in words: a bar code never
// replaces it.
type Hazard struct {
	Signal     string   // the GHS signal word
	Statements []string // with or without their H numbers
}

// LotSize chooses between the two lot labels.
type LotSize int

// The lot labels.
const (
	LotLarge LotSize = iota // 100 × 50 mm
	LotSmall                // 50 × 25 mm
)

// WriteLotLabels prints lot labels; matrix is QR or DataMatrix.
func WriteLotLabels(w io.Writer, rows []LotLabel, size LotSize, matrix Symbology, opt SheetOptions) (pages int, err error) {
	run, err := lotLabels(rows, size, matrix)
	if err != nil {
		return 0, err
	}
	return run.write(w, opt)
}

func lotLabels(rows []LotLabel, size LotSize, matrix Symbology) (cards, error) {
	if matrix == Code128 {
		matrix = QR
	}
	r := cards{
		title: "Lot labels", size: SizeLot, n: len(rows),
		name: func(i int) string { return fmt.Sprintf("lot label %d (%s)", i+1, clip(rows[i].Item)) },
	}
	switch size {
	case LotLarge:
		r.draw = func(c *canvas, b box, i int) { rows[i].drawLarge(c, b, matrix) }
	case LotSmall:
		r.size = SizeLotSmall
		r.draw = func(c *canvas, b box, i int) { rows[i].drawSmall(c, b, matrix) }
	default:
		return r, errors.New("lot labels are large (100 × 50) or small (50 × 25)")
	}
	return r, nil
}

func (r *LotLabel) check() error {
	if r.Hazard == nil {
		return nil
	}
	if clean(r.Hazard.Signal) == "" && len(r.Hazard.Statements) == 0 {
		return errors.New("the lot is marked hazardous but has neither signal word nor hazard statement: enter them from its safety data sheet")
	}
	return nil
}

func (r *LotLabel) title() string {
	if clean(r.Name) == "" {
		return r.Item
	}
	return r.Name
}

func (r *LotLabel) amount() string {
	if r.Unit == "" {
		return r.Quantity
	}
	return r.Quantity + " " + r.Unit
}

// drawLarge puts the matrix code top right, away from the long one below, so
// that a scanner held to either sees only that.
func (r *LotLabel) drawLarge(c *canvas, b box, matrix Symbology) {
	if !c.accept(checkCode(r.Payload, Lot), checkText("item", r.Item+r.Name), r.check()) {
		return
	}
	b = b.inset(2.5)
	head := b.top(15, 1.2)
	c.symbol(head.right(15, 1.5), matrix, r.Payload, 0.55)
	c.write(head.top(8.2, 0.4), r.title(), style{most: 14, least: 6.5, bold: true, lines: 2, middle: true})
	value := style{most: 8.5, least: 5, bold: true, lines: 1}
	w := (head.w - 6) / 4
	c.field(head.left(w, 2), "Quantity", r.amount(), value)
	c.field(head.left(w, 2), "Batch", r.Batch, value)
	c.field(head.left(w, 2), "Received", r.Received, value)
	c.field(head, "Use by", r.Expires, value)

	long := b.left(54.4, 1.6)
	c.code(long.bottom(15.2, 1), r.Payload, 0.38, 9)
	if r.Hazard == nil {
		c.words(long, r)
		remaining(c, b, 2, 3, "")
		return
	}
	remaining(c, long, 4, 1, reprint(c, r.Lot, r.Reprint))
	c.hazard(b, r)
}

// words sets what stands beside the codes of a harmless lot.
func (c *canvas) words(b box, r *LotLabel) {
	foot := b.bottom(3, 0.3)
	c.write(foot, reprint(c, r.Lot, r.Reprint), style{most: 7, least: 5, lines: 1, middle: true, colour: grey})
	c.write(b, r.Notes, style{most: 9, least: 5.5, middle: true, whole: true})
}

// remaining draws boxes to write what is left into, with a note above them.
func remaining(c *canvas, b box, columns, rows int, note string) {
	caption := b.top(2.9, 0.3)
	small := style{most: 6, least: 4.5, lines: 1, colour: grey}
	if note != "" {
		aside := small
		aside.align = right
		c.write(caption.right(caption.w*0.6, 1), note, aside)
	}
	c.write(caption, c.say("What is left"), small)
	w, h := b.w/float64(columns), b.h/float64(rows)
	for i := range columns * rows {
		c.frame(box{b.x + float64(i%columns)*w, b.y + float64(i/columns)*h, w, h}, black, 0.2)
	}
}

// hazard sets the signal word and statements in words, whole or not at all.
func (c *canvas) hazard(b box, r *LotLabel) {
	c.frame(b, black, 0.5)
	in := b.inset(0.8)
	if signal := clean(r.Hazard.Signal); signal != "" {
		strip := in.top(4.4, 0.6)
		c.fill((&path{}).rect(strip.x, strip.y, strip.w, strip.h), black)
		c.write(strip, signal, style{most: 10, least: 6, bold: true, lines: 1, align: centre, middle: true, colour: white, whole: true})
	}
	c.write(in.bottom(2.6, 0.3), c.say("See the safety data sheet"), style{most: 6, least: 4, lines: 1, bold: true, whole: true})
	instead := "shorten what hazards.csv says, as far as the safety data sheet allows"
	if b.h < SizeLotSmall.Height {
		instead = "print the large label"
	}
	c.write(in, r.statements(), style{most: 8, least: 4.8, whole: true, instead: instead})
}

func (r *LotLabel) statements() string {
	s := ""
	for _, h := range append(append([]string(nil), r.Hazard.Statements...), r.Notes) {
		if h = clean(h); h == "" {
			continue
		}
		if s != "" {
			s += " "
		}
		s += h
		if last := h[len(h)-1]; last != '.' && last != '!' {
			s += "."
		}
	}
	return s
}
