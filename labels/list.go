package labels

import (
	"errors"
	"fmt"
	"io"
)

// List is a table to print: a heading, columns, rows, and words at its foot.
type List struct {
	Title, About, Note string
	Columns            []ListColumn
	Rows               [][]string
}

// ListColumn is a column and its share of the width.
type ListColumn struct {
	Head  string
	Share float64
	Right bool
}

// maxListRows bounds one file.
const maxListRows = 50_000

// Lines of a list, in mm.
const (
	listMargin = 12.0
	listLine   = 6.2
)

// WriteList prints a list on A4 across, its heading on every page.
func WriteList(w io.Writer, list *List, opt SheetOptions) (pages int, err error) {
	if len(list.Rows) > maxListRows {
		return 0, fmt.Errorf("%d rows are too many for one file: at most %d", len(list.Rows), maxListRows)
	}
	d := newPDF(list.Title, opt.Made)
	c, err := newCanvas(d, &opt)
	if err != nil {
		return 0, err
	}
	list.draw(c)
	if err := errors.Join(c.errs...); err != nil {
		return 0, err
	}
	return c.pages, d.writeTo(w)
}

func (l *List) draw(c *canvas) {
	usable := A4.Width - 2*listMargin - 18 - 14 - 6 // heading, note and head of columns
	each := int(usable / listLine)
	of := max(1, (len(l.Rows)+each-1)/each)
	for page, from := 1, 0; page <= of; page, from = page+1, from+each {
		c.newPage(A4.Height, A4.Width)
		c.row = fmt.Sprintf("page %d", page)
		b := box{0, 0, A4.Height, A4.Width}.inset(listMargin)
		head := b.top(16, 2)
		number := head.right(30, 4)
		c.write(number, fmt.Sprintf("%d / %d", page, of), style{most: 9, least: 6, lines: 1, align: right, colour: grey})
		c.write(head.top(8, 0.5), l.Title, style{most: 15, least: 8, bold: true, lines: 1})
		c.write(head, l.About, style{most: 8.5, least: 6, lines: 2})
		foot := b.bottom(12, 2)
		c.write(foot, l.Note, style{most: 7.5, least: 5, lines: 3, colour: grey})
		c.listCells(l, b.top(5, 0.5), l.heads(), style{most: 7, least: 5, bold: true, lines: 1, middle: true})
		for i := from; i < min(from+each, len(l.Rows)); i++ {
			row := b.top(listLine, 0)
			c.stroke((&path{}).move(row.x, row.y).line(row.x+row.w, row.y), faint, 0.2)
			c.listCells(l, row, l.Rows[i], style{most: 7.5, least: 4.5, lines: 2, middle: true})
		}
	}
}

func (l *List) heads() []string {
	heads := make([]string, len(l.Columns))
	for i, col := range l.Columns {
		heads[i] = col.Head
	}
	return heads
}

// listCells sets a row of cells side by side.
func (c *canvas) listCells(l *List, row box, cells []string, st style) {
	var all float64
	for _, col := range l.Columns {
		all += col.Share
	}
	width := row.w
	for i, col := range l.Columns {
		cell := row.left(width*col.Share/all-2, 2)
		st.align = left
		if col.Right {
			st.align = right
		}
		c.write(cell, cells[i], st)
	}
}
