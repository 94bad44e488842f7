package labels

import (
	"fmt"
	"io"
)

// IndirectCard is the code of indirect work (cleaning, meeting …).
type IndirectCard struct {
	Payload string
	Key     string
	Name    string
	Reprint int
}

// WriteIndirects prints indirect codes, 100 × 50 mm each.
func WriteIndirects(w io.Writer, rows []IndirectCard, opt SheetOptions) (pages int, err error) {
	return indirects(rows).write(w, opt)
}

func indirects(rows []IndirectCard) cards {
	return cards{
		title: "Indirect codes", size: SizeIndirect, n: len(rows),
		name: func(i int) string { return fmt.Sprintf("indirect code %d (%s)", i+1, clip(rows[i].Key)) },
		draw: func(c *canvas, b box, i int) { rows[i].draw(c, b) },
	}
}

func (r *IndirectCard) draw(c *canvas, b box) {
	if !c.accept(checkCode(r.Payload, Indirect), checkText("name", r.Name)) {
		return
	}
	b = b.inset(4)
	foot := b.bottom(3, 0.5)
	c.write(foot, reprint(c, r.Key, r.Reprint), style{most: 7, least: 5, lines: 1, middle: true, colour: grey})
	c.code(b.bottom(17.5, 1.5), r.Payload, 0.51, 10)
	c.write(b, r.Name, style{most: 24, least: 8, bold: true, lines: 3, align: centre, middle: true})
}
