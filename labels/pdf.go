package labels

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
)

const pointsPerMM = 72 / 25.4

// pdfPen draws on a PDF. Paths are written raw: the library rounds to a
// hundredth of a point, which is too coarse for whole printer dots.
type pdfPen struct {
	pdf    *fpdf.Fpdf
	height float64
	bold   bool
	size   float64
	colour colour
	photos int
	buf    []byte
}

// newPDF begins a document. The date is fixed by the caller so that the same
// rows give the same bytes.
func newPDF(title string, made time.Time) *pdfPen {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	if made.IsZero() {
		made = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetCatalogSort(true)
	pdf.SetTitle(title, true)
	pdf.SetCreator("Hulltally", true)
	pdf.AddUTF8FontFromBytes("base", "", dejavusans.TTF)
	pdf.AddUTF8FontFromBytes("base", "B", dejavusansbold.TTF)
	return &pdfPen{pdf: pdf}
}

func (d *pdfPen) page(width, height float64) {
	d.pdf.AddPageFormat("P", fpdf.SizeType{Wd: width, Ht: height})
	d.height, d.size = height, 0
}

func (d *pdfPen) number(v float64) {
	d.buf = strconv.AppendFloat(d.buf, v, 'f', 3, 64)
	for d.buf[len(d.buf)-1] == '0' {
		d.buf = d.buf[:len(d.buf)-1]
	}
	if d.buf[len(d.buf)-1] == '.' {
		d.buf = d.buf[:len(d.buf)-1]
	}
	d.buf = append(d.buf, ' ')
}

func (d *pdfPen) rgb(c colour, operator string) {
	for _, v := range c {
		d.number(float64(v) / 255)
	}
	d.buf = append(d.buf, operator...)
	d.buf = append(d.buf, ' ')
}

func (d *pdfPen) trace(p *path) {
	at := p.points
	for _, op := range p.ops {
		switch op {
		case 'r':
			d.point(at[0], at[1]+at[3])
			d.number(at[2] * pointsPerMM)
			d.number(at[3] * pointsPerMM)
			at = at[4:]
			d.buf = append(d.buf, "re\n"...)
			continue
		case 'm', 'l':
			d.point(at[0], at[1])
			at = at[2:]
		case 'c':
			for i := 0; i < 6; i += 2 {
				d.point(at[i], at[i+1])
			}
			at = at[6:]
		}
		d.buf = append(d.buf, op, '\n')
	}
}

func (d *pdfPen) point(x, y float64) {
	d.number(x * pointsPerMM)
	d.number((d.height - y) * pointsPerMM)
}

func (d *pdfPen) fill(p *path, c colour) {
	if len(p.ops) == 0 {
		return
	}
	d.buf = append(d.buf[:0], "q "...)
	d.rgb(c, "rg")
	d.trace(p)
	d.buf = append(d.buf, "f Q"...)
	d.pdf.RawWriteStr(string(d.buf))
}

func (d *pdfPen) stroke(p *path, c colour, width float64) {
	d.buf = append(d.buf[:0], "q 1 J 1 j "...)
	d.rgb(c, "RG")
	d.number(width * pointsPerMM)
	d.buf = append(d.buf, "w "...)
	d.trace(p)
	d.buf = append(d.buf, "S Q"...)
	d.pdf.RawWriteStr(string(d.buf))
}

func (d *pdfPen) text(x, baseline float64, s string, bold bool, points float64, c colour) {
	if d.size != points || d.bold != bold {
		style := ""
		if bold {
			style = "B"
		}
		d.pdf.SetFont("base", style, points)
		d.size, d.bold = points, bold
	}
	if d.colour != c {
		d.pdf.SetTextColor(int(c[0]), int(c[1]), int(c[2]))
		d.colour = c
	}
	d.pdf.Text(x, baseline, s)
}

func (d *pdfPen) picture(b box, jpeg []byte) {
	d.photos++
	name := fmt.Sprintf("photo%d", d.photos)
	opt := fpdf.ImageOptions{ImageType: "JPEG"}
	d.pdf.RegisterImageOptionsReader(name, opt, bytes.NewReader(jpeg))
	d.pdf.ImageOptions(name, b.x, b.y, b.w, b.h, false, opt, 0, "")
}

func (d *pdfPen) writeTo(w io.Writer) error {
	if err := d.pdf.Output(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}
