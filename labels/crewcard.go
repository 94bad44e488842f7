package labels

import (
	"fmt"
	"io"
)

// CrewCard stands for a whole crew at a station.
type CrewCard struct {
	Payload string
	Name    string
	Members []string // listed for the eye; the crew of the day is the database's
	Yard    string
	Reprint int
}

// WriteCrewCards prints crew cards of A6 size.
func WriteCrewCards(w io.Writer, rows []CrewCard, opt SheetOptions) (pages int, err error) {
	return crewCards(rows).write(w, opt)
}

func crewCards(rows []CrewCard) cards {
	return cards{
		title: "Crew cards", size: SizeCrew, n: len(rows),
		name: func(i int) string { return fmt.Sprintf("crew card %d (%s)", i+1, clip(rows[i].Name)) },
		draw: func(c *canvas, b box, i int) { rows[i].draw(c, b) },
	}
}

func (r *CrewCard) draw(c *canvas, b box) {
	if !c.accept(checkCode(r.Payload, Crew), checkText("name", r.Name)) {
		return
	}
	b = b.inset(6)
	head := b.top(4, 3)
	c.write(head.right(40, 1), reprint(c, c.say("Crew"), r.Reprint), style{most: 8, least: 5, lines: 1, align: right, middle: true, colour: grey})
	c.write(head, r.Yard, style{most: 8, least: 5, lines: 1, middle: true, colour: grey})
	c.write(b.top(30, 3), r.Name, style{most: 34, least: 9, bold: true, lines: 4, align: centre, middle: true})
	c.code(b.top(36, 5), r.Payload, 0.6, 14)
	if len(r.Members) == 0 {
		return
	}
	c.write(b.top(3.2, 0.8), c.say("Members"), style{most: 7, least: 5, lines: 1, colour: grey})
	columns := [2]box{b.left((b.w-4)/2, 4), b}
	const step = 5.4
	room := 2 * int(b.h/step)
	for i, name := range r.Members {
		if i == room-1 && len(r.Members) > room {
			name = fmt.Sprintf("+ %d %s", len(r.Members)-i, c.say("more"))
		}
		if i == room {
			break
		}
		column := &columns[i/(room/2)]
		c.write(column.top(step, 0), name, style{most: 10, least: 6, lines: 1, middle: true})
	}
}
