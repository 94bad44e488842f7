package handlers

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"

	"hulltally/costing"
)

// The page of the pack, in millimetres.
const (
	packWide, packHigh     = 297.0, 210.0
	packMargin, packBottom = 12.0, 196.0
	packRow                = 4.6
)

// packPen draws the pack.
type packPen struct {
	*fpdf.Fpdf
	pack *Pack
}

// WritePDF writes the pack as a PDF: cover, yard board, a page a hull, and the
// tables. The same pack gives the same bytes.
func (p *Pack) WritePDF(w io.Writer) error {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", OrientationStr: "L", Size: fpdf.SizeType{Wd: packHigh, Ht: packWide}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(p.at.Time())
	pdf.SetModificationDate(p.at.Time())
	pdf.SetTitle("Month end "+p.period.String()+", "+packText(p.yard), true)
	pdf.SetLang("en")
	pdf.AddUTF8FontFromBytes("base", "", dejavusans.TTF)
	pdf.AddUTF8FontFromBytes("base", "B", dejavusansbold.TTF)
	pdf.SetMargins(packMargin, packMargin, packMargin)
	pdf.SetAutoPageBreak(false, 0)
	pen := &packPen{pdf, p}
	pdf.SetFooterFunc(pen.footer)
	pen.cover()
	pen.board()
	for i := range p.hulls {
		pen.hull(&p.hulls[i])
	}
	for _, name := range []string{"month", "ties", "adjustments", "changes", "overheads", "rates", "valuation", "hours", "choices"} {
		pen.section(packTitles[name], p.tables[name])
	}
	return pdf.Output(w)
}

// packText is text that the font can draw: what lies beyond its plane is marked.
func packText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r > 0xffff:
			return '\ufffd'
		case r < ' ':
			return ' '
		}
		return r
	}, plainSpaces(s))
}

func (d *packPen) footer() {
	d.SetXY(packMargin, packBottom+4)
	d.SetFont("base", "", 7)
	d.SetTextColor(90, 90, 90)
	state := "The month is open: these figures may still move."
	if c := d.pack.close; c != nil {
		state = "As signed by " + packText(c.Who) + ", seal " + c.Digest[:min(16, len(c.Digest))] + "."
	}
	d.CellFormat(200, 4, packText(d.pack.yard)+" · month end "+d.pack.period.String()+" · amounts in "+d.pack.code+" · "+state, "", 0, "L", false, 0, "")
	d.SetX(packWide - packMargin - 30)
	d.CellFormat(30, 4, strconv.Itoa(d.PageNo()), "", 0, "R", false, 0, "")
	d.SetTextColor(0, 0, 0)
}

func (d *packPen) title(s string, size float64) {
	d.SetFont("base", "B", size)
	d.CellFormat(0, size*0.6, packText(s), "", 1, "L", false, 0, "")
	d.Ln(1.5)
}

func (d *packPen) say(s string, size float64) {
	d.SetFont("base", "", size)
	d.MultiCell(packWide-2*packMargin, size*0.5, packText(s), "", "L", false)
	d.Ln(1)
}

func (d *packPen) cover() {
	p := d.pack
	d.AddPage()
	d.SetY(38)
	d.title(p.yard, 22)
	d.title("Month end, "+monthName(p.period), 16)
	d.Ln(4)
	for _, s := range p.message() {
		d.say(s, 12)
	}
	d.Ln(4)
	if c := p.close; c != nil {
		d.say(fmt.Sprintf("Closed by %s on %s. Seal of what was frozen: %s", c.Who, c.At.Time().Format("2006-01-02 15:04")+" UTC", c.Digest), 8.5)
	} else {
		d.say("The month is not closed: this is how it stands now.", 8.5)
	}
	d.say("Progress by cost follows the input method of IFRS 15 (B18–B19). Whether the standard applies to a contract, and how, is for the yard's accountant.", 8.5)
	d.say("A variance above nought is adverse. An adjustment is the difference between what a closed month was signed with and what is known of it since.", 8.5)
}

func (d *packPen) board() {
	p := d.pack
	d.AddPage()
	d.title("The yard", 14)
	d.table(p.tables["margin"], p.tables["margin"].Rows, nil)
}

// hull is a hull's page: its standing, its bridge, what changed since last month.
func (d *packPen) hull(h *packHull) {
	p := d.pack
	d.AddPage()
	name := h.key
	for _, more := range []string{h.name, h.model} {
		if more != "" {
			name += ", " + more
		}
	}
	d.title(name, 14)
	d.facts("margin", h.key)
	d.facts("month", h.key)
	d.Ln(2)
	d.SetFont("base", "B", 9)
	d.CellFormat(0, 5, "From the margin signed for to the margin forecast, "+p.code, "", 1, "L", false, 0, "")
	d.bridge(p.tables["bridge"].rowsOf(h.key))
	d.since(h.key)
}

// facts writes a hull's row of a table as names and values.
func (d *packPen) facts(table, hull string) {
	t, was := d.pack.tables[table], d.pack.before[table]
	rows, before := t.rowsOf(hull), was.rowsOf(hull)
	if len(rows) == 0 {
		return
	}
	n := 0
	for i, c := range t.Columns {
		if c.Key == "hull" {
			continue
		}
		if n%5 == 0 && n > 0 {
			d.Ln(9)
		}
		x, y := packMargin+float64(n%5)*54, d.GetY()
		d.SetXY(x, y)
		d.SetFont("base", "", 7)
		d.SetTextColor(80, 80, 80)
		d.CellFormat(52, 3.5, packText(c.Label), "", 2, "L", false, 0, "")
		d.SetTextColor(0, 0, 0)
		d.SetFont("base", "", 9)
		d.CellFormat(52, 4.5, d.shown(c, rows[0][i]), "", 0, "L", false, 0, "")
		d.SetXY(packMargin, y)
		n++
	}
	_ = before
	d.Ln(10)
}

func (d *packPen) shown(c Column, v any) string {
	text := packText(cell(v))
	if c.Money && text != "" {
		if m, err := costing.ParseDecimal(text); err == nil && strings.Contains(text, ".") && c.Key != "progress" && c.Key != "margin_share" {
			_ = m
			return d.pack.show(d.pack.amount(text))
		}
	}
	return text
}

// bridge draws the steps as bars, each hanging where the one before ended, with
// its amount in figures.
func (d *packPen) bridge(rows [][]any) {
	if len(rows) == 0 {
		return
	}
	p, t := d.pack, d.pack.tables["bridge"]
	low, high, at := costing.Money(0), costing.Money(1), costing.Money(0)
	for _, row := range rows {
		m := p.amount(t.of(row, "margin"))
		low, high = min(low, m), max(high, m)
	}
	const left, wide = packMargin + 62.0, 150.0
	x := func(m costing.Money) float64 { return left + wide*float64(m-low)/float64(high-low) }
	height := min(7.0, (packBottom-d.GetY()-34)/float64(len(rows)))
	d.SetLineWidth(0.2)
	for _, row := range rows {
		y, m := d.GetY(), p.amount(t.of(row, "margin"))
		from := at
		effect := t.of(row, "effect")
		whole := effect == ""
		if whole {
			from = 0
		}
		switch {
		case whole:
			d.SetFillColor(60, 80, 100)
		case m < from:
			d.SetFillColor(190, 90, 40)
		default:
			d.SetFillColor(70, 140, 90)
		}
		d.Rect(min(x(from), x(m)), y+0.8, max(0.3, max(x(from), x(m))-min(x(from), x(m))), height-1.6, "F")
		d.SetXY(packMargin, y)
		d.SetFont("base", "", 8)
		d.CellFormat(60, height, packText(t.of(row, "step")), "", 0, "L", false, 0, "")
		d.SetX(left + wide + 4)
		text := p.show(m)
		if !whole {
			if text = p.show(p.amount(effect)); p.amount(effect) > 0 {
				text = "+" + text
			}
		}
		d.CellFormat(28, height, text, "", 0, "R", false, 0, "")
		d.SetX(left + wide + 34)
		d.CellFormat(28, height, p.show(m), "", 0, "R", false, 0, "")
		d.Line(x(m), y+0.8, x(m), y+height+0.8)
		d.SetXY(packMargin, y+height)
		at = m
	}
	d.Line(x(0), d.GetY()-height*float64(len(rows)), x(0), d.GetY())
	d.Ln(2)
}

// since says what changed since the month before was signed.
func (d *packPen) since(hull string) {
	p := d.pack
	d.SetFont("base", "B", 9)
	d.CellFormat(0, 5, "What changed since last month", "", 1, "L", false, 0, "")
	if p.before["margin"] == nil {
		d.say("The month before was not closed, so there is nothing to compare with.", 8)
		return
	}
	now, was := p.tables["margin"].rowsOf(hull), p.before["margin"].rowsOf(hull)
	if len(was) == 0 || len(now) == 0 {
		d.say("The hull is new this month.", 8)
		return
	}
	var said []string
	for _, c := range []struct{ key, name string }{
		{"changes", "agreed changes"}, {"estimate", "estimate"}, {"actual", "cost"}, {"to_complete", "cost to complete"}, {"margin", "margin forecast"},
	} {
		a, b := p.amount(p.before["margin"].of(was[0], c.key)), p.amount(p.tables["margin"].of(now[0], c.key))
		if a != b {
			sign := ""
			if b > a {
				sign = "+"
			}
			said = append(said, fmt.Sprintf("%s %s%s (%s to %s)", c.name, sign, p.show(b-a), p.show(a), p.show(b)))
		}
	}
	if len(said) == 0 {
		said = []string{"nothing"}
	}
	if n := len(p.tables["adjustments"].rowsOf(hull)); n > 0 {
		said = append(said, fmt.Sprintf("%d adjustments of closed months", n))
	}
	d.say(strings.Join(said, "; ")+".", 8)
}

// section is a table on pages of its own.
func (d *packPen) section(title string, t *Table) {
	d.AddPage()
	d.title(title, 14)
	if len(t.Rows) == 0 {
		d.say("There is nothing to show.", 9)
		return
	}
	d.table(t, t.Rows, func() {
		d.AddPage()
		d.title(title+", continued", 11)
	})
}

// table draws rows under a head that is repeated on each page.
func (d *packPen) table(t *Table, rows [][]any, next func()) {
	if next == nil {
		next = func() { d.AddPage() }
	}
	size, widths := d.widths(t, rows)
	head := func() {
		d.SetFont("base", "B", size)
		lines := 1
		for i, c := range t.Columns {
			lines = max(lines, len(d.SplitText(packText(c.Label), widths[i]-1)))
		}
		y := d.GetY()
		x := packMargin
		for i, c := range t.Columns {
			d.SetXY(x, y)
			d.MultiCell(widths[i], size*0.45, packText(c.Label), "", align(c), false)
			x += widths[i]
		}
		d.SetXY(packMargin, y+float64(lines)*size*0.45+0.6)
		d.Line(packMargin, d.GetY(), x, d.GetY())
		d.SetFont("base", "", size)
	}
	head()
	for _, row := range rows {
		if d.GetY()+packRow > packBottom {
			next()
			head()
		}
		for i, c := range t.Columns {
			d.CellFormat(widths[i], packRow, d.fit(d.shown(c, row[i]), widths[i]-0.6), "", 0, align(c), false, 0, "")
		}
		d.Ln(packRow)
	}
}

func align(c Column) string {
	if c.Number {
		return "R"
	}
	return "L"
}

// widths are the columns' widths and the size of type with which they fit.
func (d *packPen) widths(t *Table, rows [][]any) (size float64, widths []float64) {
	for size = 8; ; size -= 0.5 {
		total := 0.0
		widths = widths[:0]
		for i, c := range t.Columns {
			d.SetFont("base", "B", size)
			w := 8.0
			for word := range strings.FieldsSeq(packText(c.Label)) {
				w = max(w, d.GetStringWidth(word)+2.5)
			}
			d.SetFont("base", "", size)
			for _, row := range rows {
				w = max(w, d.GetStringWidth(d.shown(c, row[i]))+2.5)
			}
			if !c.Number {
				w = min(w, 62)
			}
			widths = append(widths, w)
			total += w
		}
		if total <= packWide-2*packMargin || size <= 4.5 {
			return size, widths
		}
	}
}

// fit cuts text that is wider than its column, and shows that it is cut.
func (d *packPen) fit(s string, width float64) string {
	if d.GetStringWidth(s) <= width {
		return s
	}
	runes := []rune(s)
	for len(runes) > 1 && d.GetStringWidth(string(runes)+"…") > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}
