package labels

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// JobCard is the card that travels with a job.
type JobCard struct {
	Payload   string
	Job       string // the yard's own key
	Hull      string
	Model     string
	Stage     string
	Part      string
	Purpose   string // shown boldly where it is not the plain build
	Rush      bool
	Hours     []Planned // planned hours by grade
	Materials []Planned // planned materials
	Cautions  []string
	Reprint   int
}

// Planned is a line of a job card: what, how much, in which unit.
type Planned struct{ What, Amount, Unit string }

// WriteJobCards prints job cards of A6 size.
func WriteJobCards(w io.Writer, rows []JobCard, opt SheetOptions) (pages int, err error) {
	return jobCards(rows).write(w, opt)
}

func jobCards(rows []JobCard) cards {
	return cards{
		title: "Job cards", size: SizeJob, n: len(rows),
		name: func(i int) string { return fmt.Sprintf("job card %d (%s)", i+1, clip(rows[i].Job)) },
		draw: func(c *canvas, b box, i int) { rows[i].draw(c, b) },
	}
}

func (r *JobCard) draw(c *canvas, b box) {
	if !c.accept(checkCode(r.Payload, Job), checkText("part", r.Part+r.Job)) {
		return
	}
	b = b.inset(6)
	foot := b.bottom(3, 2)
	c.write(foot.right(40, 1), reprint(c, "", r.Reprint), style{most: 7, least: 5, lines: 1, align: right, middle: true, colour: grey})
	c.write(foot, r.Job, style{most: 7, least: 5, lines: 1, middle: true, colour: grey})

	head := b.top(13, 2)
	c.field(head.left(49, 5), "Hull", hullAndModel(r), style{most: 17, least: 8, bold: true, lines: 2})
	c.field(head, "Stage", r.Stage, style{most: 17, least: 7, bold: true, lines: 2})
	c.stroke((&path{}).move(b.x, b.y-0.8).line(b.x+b.w, b.y-0.8), black, 0.4)

	if flags := r.flags(c); flags != "" {
		strip := b.top(7, 2)
		c.fill((&path{}).rect(strip.x, strip.y, strip.w, strip.h), black)
		c.write(strip.inset(0.8), flags, style{most: 13, least: 7, bold: true, lines: 1, align: centre, middle: true, colour: white})
	}
	part := r.Part
	if clean(part) == "" {
		part = r.Job
	}
	c.field(b.top(18, 2), "Part", part, style{most: 17, least: 5.5, bold: true})
	c.code(b.top(27, 2.5), r.Payload, 0.6, 13)
	if len(r.Cautions) > 0 {
		cautions(c, b.bottom(cautionHeight(len(r.Cautions)), 2), r.Cautions)
	}
	hours := b.left((b.w-4)*0.36, 4)
	planned(c, hours, "Planned hours", r.Hours)
	planned(c, b, "Planned materials", r.Materials)
}

func hullAndModel(r *JobCard) string {
	if r.Model == "" {
		return r.Hull
	}
	return r.Hull + " · " + r.Model
}

func (r *JobCard) flags(c *canvas) string {
	s := ""
	if r.Purpose != "" && r.Purpose != "build" {
		s = strings.ToUpper(c.say(r.Purpose))
	}
	if r.Rush {
		if s != "" {
			s += " · "
		}
		s += strings.ToUpper(c.say("rush"))
	}
	return s
}

// planned lists lines, the last of them counting what found no room.
func planned(c *canvas, b box, caption string, lines []Planned) {
	if len(lines) == 0 {
		return
	}
	c.write(b.top(3, 0.6), c.say(caption), style{most: 7, least: 5, lines: 1, colour: grey})
	const step = 4.4
	room := max(int(b.h/step), 1)
	for i, l := range lines {
		row := b.top(step, 0)
		if i == room-1 && len(lines) > room {
			c.write(row, fmt.Sprintf("+ %d %s", len(lines)-i, c.say("more")), style{most: 8, least: 5, lines: 1, middle: true})
			return
		}
		amount := l.Amount
		if l.Unit != "" {
			amount += " " + l.Unit
		}
		c.write(row.right(math.Min(16, row.w*0.42), 1.5), amount, style{most: 8, least: 5, bold: true, lines: 1, align: right, middle: true})
		c.write(row, l.What, style{most: 8, least: 4.8, lines: 2, middle: true})
	}
}

func cautionHeight(n int) float64 { return math.Min(6+5*float64(n), 26) }

// cautions are boxed beside a warning triangle.
func cautions(c *canvas, b box, lines []string) {
	c.frame(b, black, 0.5)
	b = b.inset(1.5)
	sign := b.left(9, 2)
	triangle(c, sign)
	each := b.h / float64(len(lines))
	st := style{most: 9, least: 5, middle: true, whole: true}
	for _, l := range lines { // one size for all of them
		if got, err := c.t.fit(box{w: b.w, h: each}, clean(l), st); err == nil {
			st.most = min(st.most, got.points)
		}
	}
	for _, l := range lines {
		c.write(b.top(each, 0), l, st)
	}
}

// triangle is a warning sign of our own: a plain triangle with a stroke in it.
func triangle(c *canvas, b box) {
	w := math.Min(b.w, b.h/0.9)
	h := w * 0.88
	x, y := b.x+b.w/2, b.y+(b.h-h)/2
	c.stroke((&path{}).polygon(x, y+0.4, x+w/2-0.4, y+h, x-w/2+0.4, y+h), black, w*0.08)
	c.fill((&path{}).polygon(x-w*0.05, y+h*0.36, x+w*0.05, y+h*0.36, x+w*0.03, y+h*0.68, x-w*0.03, y+h*0.68), black)
	c.fill((&path{}).circle(x, y+h*0.8, w*0.05), black)
}
