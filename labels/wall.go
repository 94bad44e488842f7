package labels

import (
	"errors"
	"fmt"
	"io"
	"strings"
)

// WallCard is one action on the sheet that hangs at a station.
type WallCard struct {
	Payload string
	Action  Action
	Key     string   // of a progress card: the percentage
	Words   []string // instead of the built-in ones, the first in large type
}

// WallOptions say what the wall sheet looks like.
type WallOptions struct {
	Page      Size     // A4 or A3; zero is A4
	Languages []string // of the words, the first in large type; none: English
}

const (
	wallColumns = 2
	wallRows    = 5
)

// WriteWall prints the wall sheet. Grid, Start and Copies of the options do
// not apply: it fills whole pages.
func WriteWall(w io.Writer, rows []WallCard, wall WallOptions, opt SheetOptions) (pages int, err error) {
	d := newPDF("Wall sheet", opt.Made)
	c, err := newCanvas(d, &opt)
	if err != nil {
		return 0, err
	}
	if err := c.drawWall(rows, wall, opt.Progress); err != nil {
		return 0, err
	}
	return c.pages, d.writeTo(w)
}

func (c *canvas) drawWall(rows []WallCard, wall WallOptions, progress func(done, total int)) error {
	if len(rows) == 0 {
		return errors.New("there is nothing to print")
	}
	if len(rows) > maxCards {
		return fmt.Errorf("%d cards are too many for one file: at most %d", len(rows), maxCards)
	}
	if wall.Page == (Size{}) {
		wall.Page = A4
	}
	if wall.Page.Width < A4.Width || wall.Page.Height < A4.Height {
		return errors.New("the wall sheet needs a page of A4 or larger, upright")
	}
	for _, l := range wall.Languages {
		if WallWord(ActionOff, l) == "" {
			return fmt.Errorf("wall cards have no words in %q: there are %s", clip(l), strings.Join(Languages, ", "))
		}
	}
	const margin, gap = 7, 4
	cell := Size{(wall.Page.Width - 2*margin - gap) / wallColumns, (wall.Page.Height - 2*margin - (wallRows-1)*gap) / wallRows}
	for i, r := range rows {
		at := i % (wallColumns * wallRows)
		if at == 0 {
			c.newPage(wall.Page.Width, wall.Page.Height)
		}
		column, row := at%wallColumns, at/wallColumns
		b := box{margin + float64(column)*(cell.Width+gap), margin + float64(row)*(cell.Height+gap), cell.Width, cell.Height}
		c.row = fmt.Sprintf("wall card %d (%s)", i+1, clip(string(r.Action)))
		r.draw(c, b, wall.Languages, column == 1)
		if progress != nil {
			progress(i+1, len(rows))
		}
	}
	return errors.Join(c.errs...)
}

// draw puts the code below on the left of the sheet and above on the right, so
// that one line of a scanner never crosses two codes.
func (r *WallCard) draw(c *canvas, b box, languages []string, codeAbove bool) {
	words := r.words(languages)
	if !c.accept(checkCode(r.Payload, Wall), checkText("words", strings.Join(words, ""))) {
		return
	}
	c.stroke((&path{}).rounded(b, 3), black, 0.7)
	scale := b.h / 53
	b = b.inset(2.5)
	side := b.left(34*scale, 3)
	r.picture(c, side.inset(2*scale))
	codeHeight := 17 * scale
	var code box
	if codeAbove {
		code = b.top(codeHeight, 2)
	} else {
		code = b.bottom(codeHeight, 2)
	}
	c.code(code, r.Payload, 0.375*scale+0.01, 9*scale)
	head := b.top(b.h*0.36, 1)
	if len(words) == 1 {
		head = box{b.x, head.y, b.w, b.h + head.h}
	}
	c.write(head, words[0], style{most: 19 * scale, least: 8, bold: true, lines: 2, middle: true})
	others(c, b, words[1:], 10.5*scale)
}

// others lists the other languages, each on a line of its own so that scripts
// of both directions never mix; in two columns where there are many.
func others(c *canvas, b box, words []string, most float64) {
	if len(words) == 0 {
		return
	}
	columns := []box{b}
	if len(words) > 4 {
		columns = []box{b.left((b.w-2)/2, 2), b}
	}
	rows := (len(words) + len(columns) - 1) / len(columns)
	step := min(columns[0].h/float64(rows), most*mmPerPoint*lineHeight)
	size := step / mmPerPoint / lineHeight
	for _, word := range words { // one size for all of them
		if w := c.t.width(clean(word), false); w > 0 {
			size = min(size, columns[0].w/w/mmPerPoint)
		}
	}
	size = max(size, 5)
	for i, word := range words {
		c.write(columns[i/rows].top(step, 0), word, style{most: size, least: 5, lines: 1, middle: true})
	}
}

func (r *WallCard) words(languages []string) []string {
	if len(r.Words) > 0 {
		return r.Words
	}
	if len(languages) == 0 {
		languages = Languages[:1]
	}
	var words []string
	for _, l := range languages {
		if w := WallWord(worded(r.Action, r.Key), l); w != "" {
			words = append(words, w)
		}
	}
	if len(words) > 0 && r.Key != "" && r.Action == ActionProgress {
		words[0] += " " + r.Key + "\u00a0%" // number and sign stay on one line
	}
	if len(words) == 0 {
		return []string{string(r.Action)}
	}
	return words
}
