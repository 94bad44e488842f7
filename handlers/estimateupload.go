package handlers

import (
	"cmp"
	"errors"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/revise"
	"hulltally/models"
)

// estimateHeadings is the name under which headings.csv keeps what the columns
// of a list of estimate lines are.
const estimateHeadings = "estimate"

// estimateFields are what a column of a list may be.
var estimateFields = []string{"job", "stage", "part", "purpose", "shares", "element", "key", "quantity", "waste", "standard_rate"}

var fieldLabels = map[string]string{
	"job": "job", "stage": "stage", "part": "part", "purpose": "purpose (build …)", "shares": "shares of several hulls", "element": "labour, material or bought-in",
	"key": "grade, item or words", "quantity": "hours or net quantity", "waste": "waste, share of net or %", "standard_rate": "rate, price or amount",
}

// uploaded is a list on its way to become a revision.
type uploaded struct {
	sentList
	Head    int // the row of the headings
	Hull    string
	Form    map[string]string
	Mapping []string // field by column; empty: left out
	Known   []bool   // whether a heading was mapped before
	Lines   []revise.Line
	Wrong   []string
}

// uploadPage asks for a list, and takes it: first what the columns are, unless
// they are known, then what it would come to, then it is kept.
func (s *Server) uploadPage(v *Visit) error {
	return v.Page("estimate-upload.html", "Lines from a list", map[string]any{"Hull": v.Query("hull")})
}

func (s *Server) takeUpload(v *Visit) error {
	u := &uploaded{Form: map[string]string{}}
	if strings.HasPrefix(v.ContentType(), "multipart/") {
		text, fields, err := v.upload()
		if err != nil {
			return s.uploadFault(v, err)
		}
		l, err := readList(text, fields["sheet"])
		if err != nil {
			return s.uploadFault(v, err)
		}
		u.sentList, u.Form = *l, fields
	} else if err := u.readAgain(v); err != nil {
		return err
	}
	u.Hull = strings.TrimSpace(u.Form["hull"])
	if u.Hull == "" {
		return s.uploadFault(v, models.Errorf(models.Invalid, "name the hull that the lines are for"))
	}
	if u.findHead(); len(u.Rows) == 0 {
		return s.uploadFault(v, models.Errorf(models.Invalid, "the list has no row of headings: give the first row the names of the columns"))
	}
	var page *ownedPage
	var kept *revise.Revision
	err := s.onGround(v, func(g *ground) error {
		if err := u.mapColumns(g); err != nil {
			return err
		}
		if u.Form["do"] == "" && slices.Contains(u.Known, false) {
			page = u.mappingPage("")
			return nil
		}
		if missing := u.missing(); missing != "" {
			page = u.mappingPage("No column is the " + fieldLabels[missing] + ": choose one.")
			return nil
		}
		u.readLines(g.yard)
		r, err := u.revision(g)
		if err != nil {
			return err
		}
		if u.Form["do"] == "keep" && len(u.Wrong) == 0 {
			kept = r
			return nil
		}
		page, err = u.previewPage(g, r)
		return err
	})
	if err != nil {
		return s.uploadFault(v, err)
	}
	if page != nil {
		return v.Page(page.Template, page.Title, page.Data)
	}
	return s.keepUpload(v, u, kept)
}

func (s *Server) uploadFault(v *Visit, err error) error {
	said, fault := formFault(err)
	if fault != nil {
		return fault
	}
	var r *refusal
	if models.KindOf(err) == "" || errors.As(err, &r) {
		return err
	}
	return v.pageAs(statusOf(models.KindOf(err)), "estimate-upload.html", "Lines from a list", map[string]any{"Wrong": said})
}

// readAgain reads the list that the form before carried along.
func (u *uploaded) readAgain(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	for name, values := range v.Request.PostForm {
		u.Form[name] = values[0]
	}
	l, err := readCSVText(u.Form["text"])
	if err != nil {
		return err
	}
	u.sentList = *l
	u.Sheet = u.Form["of"]
	return nil
}

func readCSVText(text string) (*sentList, error) {
	l, err := readCSV([]byte(text))
	if err != nil {
		return nil, err
	}
	for i, row := range l.Rows {
		if len(row) == 1 && row[0] == " " {
			l.Rows[i] = nil
		}
	}
	return l, nil
}

// findHead finds the headings: the first row with three cells or more.
func (u *uploaded) findHead() {
	for i, row := range u.Rows {
		filled := 0
		for _, c := range row {
			if strings.TrimSpace(c) != "" {
				filled++
			}
		}
		if filled >= 3 {
			u.Head = i
			return
		}
	}
	u.Rows = nil
}

func heading(cell string) string { return strings.ToLower(strings.Join(strings.Fields(cell), " ")) }

// mapColumns says what each column is: as the form chose, as it was mapped
// before, or by its own name.
func (u *uploaded) mapColumns(g *ground) error {
	before, err := g.tx.Headings(g.ctx, estimateHeadings)
	if err != nil {
		return err
	}
	for i, cell := range u.Rows[u.Head] {
		name := heading(cell)
		field, known := before[name]
		if !known && slices.Contains(estimateFields, strings.ReplaceAll(name, " ", "_")) {
			field, known = strings.ReplaceAll(name, " ", "_"), true
		}
		if chosen, there := u.Form["column."+strconv.Itoa(i)]; there && (chosen == "" || slices.Contains(estimateFields, chosen)) {
			field, known = chosen, true
		}
		u.Mapping, u.Known = append(u.Mapping, field), append(u.Known, known || name == "")
	}
	return nil
}

func (u *uploaded) missing() string {
	for _, f := range []string{"job", "stage", "element", "key", "quantity", "standard_rate"} {
		if !slices.Contains(u.Mapping, f) {
			return f
		}
	}
	return ""
}

// readLines reads every row below the headings; what is wrong is said by cell.
func (u *uploaded) readLines(y *costing.Yard) {
	column := map[string]int{}
	for i, f := range u.Mapping {
		if f != "" {
			column[f] = i
		}
	}
	for row := u.Head + 1; row < len(u.Rows); row++ {
		cells := u.Rows[row]
		if strings.TrimSpace(strings.Join(cells, "")) == "" {
			continue
		}
		at := func(field string) (string, int) {
			c, there := column[field]
			if !there || c >= len(cells) {
				return "", c
			}
			return strings.TrimSpace(cells[c]), c
		}
		bad := func(field, format string, args ...any) {
			_, c := at(field)
			u.wrong(row, c, format, args...)
		}
		var l revise.Line
		l.Job, _ = at("job")
		l.Stage, _ = at("stage")
		l.Part, _ = at("part")
		l.Key, _ = at("key")
		purpose, _ := at("purpose")
		element, _ := at("element")
		l.Purpose, l.Element = costing.Purpose(cmp.Or(strings.ToLower(purpose), string(costing.Build))), costing.Element(strings.ToLower(element))
		for _, n := range []struct {
			field string
			blank bool
			to    func(int64)
		}{
			{"quantity", false, func(v int64) { l.Quantity = costing.Quantity(v) }},
			{"waste", true, func(v int64) { l.Waste = costing.Share(v) }},
			{"standard_rate", false, func(v int64) { l.Rate = costing.Price(v) }},
		} {
			text, _ := at(n.field)
			if text == "" && n.blank {
				continue
			}
			v, err := readNumber(text)
			switch {
			case err != nil:
				bad(n.field, "%.40q %v", text, err)
			case v < 0:
				bad(n.field, "%.40s is below 0", text)
			}
			n.to(v)
		}
		if shares, _ := at("shares"); shares != "" {
			var err error
			if l.Shares, err = models.ParseShares(shares); err != nil {
				bad("shares", "%v", err)
			}
		}
		u.checkLine(y, &l, bad)
		u.Lines = append(u.Lines, l)
	}
	if len(u.Lines) == 0 {
		u.Wrong = append(u.Wrong, "there is no line below the headings")
	}
}

func (u *uploaded) checkLine(y *costing.Yard, l *revise.Line, bad func(field, format string, args ...any)) {
	if l.Job == "" {
		bad("job", "is blank: name the job")
	}
	if y.Stages[l.Stage] == nil {
		bad("stage", "there is no stage %.40q: enter it first or correct the cell", l.Stage)
	}
	switch l.Purpose {
	case costing.Build, costing.ForOrder, costing.Rework, costing.Warranty:
	default:
		bad("purpose", "%.40q is not one of build, change, rework, warranty", string(l.Purpose))
	}
	switch l.Element {
	case costing.Labour:
		if _, there := y.Grades[l.Key]; !there {
			bad("key", "there is no grade %.40q", l.Key)
		}
	case costing.Material:
		if y.Items[l.Key] == nil {
			bad("key", "there is no item %.40q", l.Key)
		}
	case costing.BoughtIn:
		if l.Key == "" {
			bad("key", "is blank: say what is bought")
		}
	default:
		bad("element", "%.40q is not one of labour, material, bought-in", string(l.Element))
	}
}

// mostWrong bounds what is said to be wrong: who mends that many sees the rest then.
const mostWrong = 40

func (u *uploaded) wrong(row, column int, format string, args ...any) {
	if len(u.Wrong) < mostWrong {
		u.Wrong = append(u.Wrong, u.cell(row, column)+": "+sprintf(format, args...))
	}
}

func (u *uploaded) revision(g *ground) (*revise.Revision, error) {
	r := &revise.Revision{Hull: u.Hull, Basis: "from a list", Day: g.figures.Day, PriceCurrency: g.currency.Code, PriceRate: costing.Million, Lines: u.Lines}
	if u.Sheet != "" {
		r.Basis = "from a list, sheet " + u.Sheet
	}
	if before, _, err := g.revisionOf(u.Hull, ""); err == nil { // the price stays what it was
		r.Model, r.Price, r.PriceCurrency, r.PriceRate = before.Model, before.Price, before.PriceCurrency, before.PriceRate
		if g.yard.Hulls[u.Hull] != nil {
			r.Day = before.Day
		}
	} else if models.KindOf(err) != models.NotFound {
		return nil, err
	}
	return r, nil
}

func (s *Server) keepUpload(v *Visit, u *uploaded, r *revise.Revision) error {
	var rows []any
	for i, cell := range u.Rows[u.Head] {
		if name := heading(cell); name != "" && !slices.Contains(estimateFields, strings.ReplaceAll(name, " ", "_")) {
			rows = append(rows, models.HeadingRow{Form: estimateHeadings, Heading: name, Field: u.Mapping[i]})
		}
	}
	if len(rows) > 0 {
		files, err := models.FilesOf(rows...)
		if err == nil {
			_, err = s.store.Enter(v.Request.Context(), files, s.entering(v, "mapped columns", estimateHeadings, ""))
		}
		if err != nil {
			return s.uploadFault(v, err)
		}
	}
	n, err := s.store.KeepRevision(v.Request.Context(), r, s.entering(v, "uploaded an estimate", u.Hull, ""))
	if err != nil {
		return s.uploadFault(v, err)
	}
	v.Flash("%d lines kept as revision %d.", len(u.Lines), n)
	return v.Redirect("/estimate/" + url.PathEscape(u.Hull) + "?revision=" + strconv.Itoa(n))
}
