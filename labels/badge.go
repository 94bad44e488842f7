package labels

import (
	"fmt"
	"io"
)

// Badge is a person's badge.
type Badge struct {
	Payload string
	Name    string
	Trade   string // grade or trade
	Crew    string
	Number  string
	Yard    string
	Photo   []byte // JPEG or PNG; may be missing
	Reprint int    // how many times it was printed before
	Revoked bool   // a revoked code is never printed again
}

// WriteBadges prints badges of ID-1 size.
func WriteBadges(w io.Writer, rows []Badge, opt SheetOptions) (pages int, err error) {
	return badges(rows).write(w, opt)
}

func badges(rows []Badge) cards {
	return cards{
		title: "Badges", size: SizeBadge, n: len(rows),
		name: func(i int) string { return fmt.Sprintf("badge %d (%s)", i+1, clip(rows[i].Name)) },
		draw: func(c *canvas, b box, i int) { rows[i].draw(c, b) },
		edge: func(b box) *path { return (&path{}).rounded(b, 3.18) },
	}
}

func (r *Badge) draw(c *canvas, b box) {
	if !c.accept(checkCode(r.Payload, Person), checkText("name", r.Name), r.checkRevoked()) {
		return
	}
	b = b.inset(3.6)
	head := b.top(3.4, 1.4)
	c.write(head.right(24, 1), reprint(c, r.Number, r.Reprint), style{most: 7, least: 5, lines: 1, align: right, middle: true, colour: grey})
	c.write(head, r.Yard, style{most: 7, least: 5, lines: 1, middle: true, colour: grey})
	c.code(b.bottom(15.4, 1.4), r.Payload, 0.45, 9)
	if len(r.Photo) > 0 {
		place := b.left(b.h*3/4, 3.5)
		photo, err := portrait(r.Photo)
		if err != nil {
			c.fail(err)
			return
		}
		c.picture(place, photo)
	}
	small := 0.0
	if r.Trade != "" || r.Crew != "" {
		small = 9
	}
	foot := b.bottom(small, 0)
	c.write(b, r.Name, style{most: 19, least: 7, bold: true, lines: 3, middle: true})
	c.write(foot.top(4.5, 0), r.Trade, style{most: 10, least: 6, lines: 1, middle: true})
	c.write(foot, r.Crew, style{most: 10, least: 6, lines: 1, middle: true, colour: grey})
}

func (r *Badge) checkRevoked() error {
	if r.Revoked {
		return fmt.Errorf("the code %s is revoked: print the person's new one", r.Payload)
	}
	return nil
}

// reprint adds the count of a card that was printed before.
func reprint(c *canvas, s string, n int) string {
	if n <= 0 {
		return s
	}
	again := fmt.Sprintf("%s %d", c.say("reprint"), n)
	if s == "" {
		return again
	}
	return s + " · " + again
}
