package labels

// drawSmall is the 50 × 25 label. A hazardous lot gives up the long code for
// the words, which must stand in full; the matrix code stays.
func (r *LotLabel) drawSmall(c *canvas, b box, matrix Symbology) {
	if !c.accept(checkCode(r.Payload, Lot), checkText("item", r.Item+r.Name), r.check()) {
		return
	}
	b = b.inset(1.2)
	if r.Hazard != nil {
		r.drawSmallHazard(c, b, matrix)
		return
	}
	codes := b.bottom(13.6, 0.4)
	c.symbol(codes.right(11, 0.1), matrix, r.Payload, 0.5)
	c.code(codes, r.Payload, 0.26, 7)
	facts := b.bottom(3.2, 0.2)
	left := facts.right(14, 0.8)
	c.frame(left, black, 0.15)
	c.write(left.inset(0.4), c.say("left"), style{most: 4.5, least: 4, lines: 1, middle: true, colour: grey})
	c.write(facts, r.facts(c), style{most: 6.5, least: 4.5, lines: 1, middle: true})
	c.write(b, r.title(), style{most: 10, least: 5, bold: true, lines: 2, middle: true})
}

func (r *LotLabel) facts(c *canvas) string {
	s := ""
	for _, f := range [][2]string{{"", r.amount()}, {"batch", r.Batch}, {"use by", r.Expires}} {
		if f[1] == "" {
			continue
		}
		if s != "" {
			s += " · "
		}
		if f[0] != "" {
			s += c.say(f[0]) + " "
		}
		s += f[1]
	}
	return reprint(c, s, r.Reprint)
}

func (r *LotLabel) drawSmallHazard(c *canvas, b box, matrix Symbology) {
	side := b.left(12, 0.8)
	c.symbol(side.top(12, 0.2), matrix, r.Payload, 0.5)
	c.write(side.top(2.6, 0.2), Group(r.Payload), style{most: 6, least: 4.5, bold: true, lines: 1, align: centre, middle: true})
	c.write(side, r.amount(), style{most: 7, least: 4.5, lines: 2, align: centre, middle: true})
	c.write(b.top(3.4, 0.1), r.title(), style{most: 7.5, least: 4.5, bold: true, lines: 1, middle: true})
	facts := *r
	facts.Quantity, facts.Unit = "", ""
	c.write(b.top(2.5, 0.3), facts.facts(c), style{most: 6, least: 4.5, lines: 1, middle: true})
	c.hazard(b, r)
}
