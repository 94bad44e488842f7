package labels

import (
	"errors"
	"fmt"
	"io"
	"math"
)

// StageSet is everything the floor needs to begin a stage of a hull: a list to
// hand out from and the job cards.
type StageSet struct {
	Hull, Model, Stage string
	Jobs               []JobCard
}

// WriteStage prints a stage's whole set on A4: lists first, then the cards,
// four to a page unless the options give another grid.
func WriteStage(w io.Writer, set StageSet, opt SheetOptions) (pages int, err error) {
	if opt.Grid == nil {
		opt.Grid = GridOn(A4, SizeJob)
	}
	d := newPDF("Job cards of a stage", opt.Made)
	c, err := newCanvas(d, &opt)
	if err != nil {
		return 0, err
	}
	if err := set.drawAll(c, opt); err != nil {
		return 0, err
	}
	return c.pages, d.writeTo(w)
}

func (s *StageSet) drawAll(c *canvas, opt SheetOptions) error {
	if len(s.Jobs) == 0 {
		return errors.New("the stage has no jobs to print")
	}
	if len(s.Jobs) > maxCards {
		return fmt.Errorf("%d cards are too many for one file: at most %d", len(s.Jobs), maxCards)
	}
	c.row = "list of the stage"
	s.list(c)
	return jobCards(s.Jobs).drawAll(c, opt)
}

const listStep = 8.0

// list draws the pages to hand out from: a box to tick, part, code, hours.
func (s *StageSet) list(c *canvas) {
	for from := 0; from < len(s.Jobs); {
		c.newPage(A4.Width, A4.Height)
		b := box{0, 0, A4.Width, A4.Height}.inset(15)
		head := b.top(14, 4)
		count := head.right(30, 3)
		c.field(count, "Job cards", fmt.Sprint(len(s.Jobs)), style{most: 18, least: 8, bold: true, lines: 1, align: right})
		c.field(head.left(70, 3), "Hull", hullAndModel(&JobCard{Hull: s.Hull, Model: s.Model}), style{most: 18, least: 8, bold: true, lines: 2})
		c.field(head, "Stage", s.Stage, style{most: 18, least: 8, bold: true, lines: 2})
		c.listRow(b.top(4, 0.5), c.say("Part"), c.say("Job"), c.say("Code"), c.say("Planned hours"), style{most: 7, least: 5, lines: 1, colour: grey, middle: true})
		for ; from < len(s.Jobs) && b.h >= listStep; from++ {
			j := &s.Jobs[from]
			row := b.top(listStep, 0)
			c.stroke((&path{}).move(row.x, row.y).line(row.x+row.w, row.y), faint, 0.2)
			c.frame(box{row.x + 0.5, row.y + 2, 4, 4}, black, 0.25)
			part := j.Part
			if part == "" {
				part = j.Job
			}
			c.listRow(row, part, j.Job, Group(j.Payload), hoursOf(j), style{most: 9.5, least: 5.5, lines: 2, middle: true})
		}
	}
}

func (c *canvas) listRow(b box, part, job, code, hours string, st style) {
	b.left(7, 0)
	last := st
	last.align, last.most = right, math.Min(st.most, 8)
	b = box{b.x, b.y + 0.5, b.w, b.h - 1}
	c.write(b.right(38, 2), hours, last)
	c.write(b.right(27, 3), code, st)
	c.write(b.right(35, 3), job, st)
	c.write(b, part, st)
}

func hoursOf(j *JobCard) string {
	s := ""
	for _, h := range j.Hours {
		if s != "" {
			s += ", "
		}
		s += h.What + " " + h.Amount
	}
	return s
}
