package handlers

import (
	"net/url"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/revise"
	"hulltally/models"
)

// blankLines is how many empty lines the form of a revision ends in.
const blankLines = 6

// typedLine is a line of the form as typed, with what is wrong with it.
type typedLine struct {
	N                                                                      int
	Job, Stage, Part, Purpose, Shares, Element, Key, Quantity, Waste, Rate string
	Wrong                                                                  string
}

// editPage is the form that makes the next revision of the one before.
func (s *Server) editPage(v *Visit) error {
	return s.owned(v, func(g *ground) (*ownedPage, error) {
		r, state, err := g.revisionOf(v.Param("hull"), g.query.Get("revision"))
		if err != nil {
			return nil, err
		}
		var lines []typedLine
		for i := range r.Lines {
			lines = append(lines, typedOf(i, &r.Lines[i]))
		}
		return g.editForm(r, state, lines, "")
	})
}

func typedOf(i int, l *revise.Line) typedLine {
	t := typedLine{
		N: i, Job: l.Job, Stage: l.Stage, Part: l.Part, Purpose: string(l.Purpose), Element: string(l.Element), Key: l.Key,
		Quantity: l.Quantity.String(), Rate: costing.FormatDecimal(int64(l.Rate)),
	}
	for _, s := range l.Shares {
		t.Shares += ";" + s.Hull + ":" + strconv.FormatInt(s.Weight, 10)
	}
	t.Shares = strings.TrimPrefix(t.Shares, ";")
	if l.Element == costing.Material {
		t.Waste = costing.FormatDecimal(int64(l.Waste))
	}
	return t
}

func (g *ground) editForm(r *revise.Revision, state string, lines []typedLine, wrong string) (*ownedPage, error) {
	for range blankLines {
		lines = append(lines, typedLine{N: len(lines), Purpose: string(costing.Build)})
	}
	stages, err := g.tx.Stages(g.ctx)
	if err != nil {
		return nil, err
	}
	return &ownedPage{"estimate-edit.html", "New revision of " + r.Hull, map[string]any{
		"Hull": r.Hull, "Which": state, "State": which(state), "Lines": lines, "Wrong": wrong, "Stages": stages, "Code": g.currency.Code,
		"Model": r.Model, "Price": costing.FormatDecimal(r.Price), "Currency": r.PriceCurrency, "Rate": costing.FormatDecimal(int64(r.PriceRate)),
		"Here": "/estimate/" + url.PathEscape(r.Hull) + "/edit", "Back": g.toEstimate(r.Hull, "revision", state), "Board": g.link("/estimates"),
		"Elements": []costing.Element{costing.Labour, costing.Material, costing.BoughtIn}, "Day": g.figures.Day.String(),
	}}, nil
}

// keepEdit keeps the form's lines as the next revision.
func (s *Server) keepEdit(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull := v.Param("hull")
	var r *revise.Revision
	if err := s.onGround(v, func(g *ground) (err error) {
		r, _, err = g.revisionOf(hull, v.Form("revision"))
		r2 := g.figures.Day
		if err == nil && g.yard.Hulls[hull] == nil {
			r.Day = r2
		}
		return err
	}); err != nil {
		return err
	}
	r.Basis = "typed, from " + which(v.Form("revision"))
	lines, problem := readTyped(v.Request.PostForm)
	if problem == "" {
		problem = readContract(v, r)
	}
	if problem == "" {
		r.Lines = nil
		for i := range lines {
			l, err := lines[i].line()
			if err != nil {
				lines[i].Wrong = err.Error()
				problem = "One line cannot be read; nothing was kept."
				continue
			}
			r.Lines = append(r.Lines, l)
		}
	}
	if problem == "" {
		n, err := s.store.KeepRevision(v.Request.Context(), r, s.entering(v, "revised an estimate", hull, v.Form("why")))
		if err == nil {
			v.Flash("Kept as revision %d.", n)
			return v.Redirect("/estimate/" + url.PathEscape(hull) + "?revision=" + strconv.Itoa(n))
		}
		said, fault := formFault(err)
		if fault != nil {
			return fault
		}
		problem = "Nothing was kept: " + said
	}
	var p *ownedPage
	if err := s.onGround(v, func(g *ground) (err error) {
		p, err = g.editForm(r, v.Form("revision"), lines, problem)
		return err
	}); err != nil {
		return err
	}
	return v.pageAs(422, p.Template, p.Title, p.Data)
}

// mostTyped bounds the lines of a form.
const mostTyped = 3000

// readTyped reads the lines of the form; blank ones are left out.
func readTyped(form url.Values) ([]typedLine, string) {
	var lines []typedLine
	for i := range mostTyped {
		n := "." + strconv.Itoa(i)
		if _, there := form["job"+n]; !there {
			break
		}
		get := func(name string) string { return strings.TrimSpace(form.Get(name + n)) }
		t := typedLine{
			N: len(lines), Job: get("job"), Stage: get("stage"), Part: get("part"), Purpose: get("purpose"), Shares: get("shares"), Element: get("element"),
			Key: get("key"), Quantity: get("quantity"), Waste: get("waste"), Rate: get("rate"),
		}
		if t.Job == "" && t.Key == "" && t.Quantity == "" && t.Rate == "" || form.Get("drop"+n) != "" {
			continue
		}
		lines = append(lines, t)
	}
	if len(lines) == 0 {
		return nil, "There is no line to keep."
	}
	return lines, ""
}

func (t *typedLine) line() (l revise.Line, err error) {
	l = revise.Line{Job: t.Job, Stage: t.Stage, Part: t.Part, Purpose: costing.Purpose(t.Purpose), Element: costing.Element(t.Element), Key: t.Key}
	number := func(name, text string, to *int64) {
		v, e := readNumber(text)
		if e != nil && err == nil {
			err = models.Errorf(models.Invalid, "%s: %v", name, e)
		}
		*to = v
	}
	var q, w, r int64
	number("quantity", t.Quantity, &q)
	number("rate", t.Rate, &r)
	if t.Waste != "" {
		number("waste", t.Waste, &w)
	}
	if t.Shares != "" {
		if l.Shares, err = models.ParseShares(t.Shares); err != nil {
			return l, err
		}
	}
	l.Quantity, l.Waste, l.Rate = costing.Quantity(q), costing.Share(w), costing.Price(r)
	return l, err
}

// readContract reads the price a revision is reckoned against.
func readContract(v *Visit, r *revise.Revision) string {
	price, err := readNumber(v.Form("price"))
	if err != nil {
		return "The price: " + err.Error()
	}
	rate, err := readNumber(v.Form("price_rate"))
	if err != nil {
		return "The exchange rate: " + err.Error()
	}
	r.Price, r.PriceCurrency, r.PriceRate, r.Model = price, strings.ToUpper(v.Form("price_currency")), costing.Price(rate), v.Form("model")
	return ""
}

// signForm makes a revision the contract.
func (s *Server) signForm(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull := v.Param("hull")
	back := "/estimate/" + url.PathEscape(hull)
	n, err := strconv.Atoi(v.Form("revision"))
	if err != nil {
		return models.Errorf(models.Invalid, "the form does not say which revision: sign on the page of one")
	}
	sg := models.Signing{Hull: hull, Revision: n, Name: v.Form("name"), Signed: models.Day(v.Form("signed")), Due: models.Day(v.Form("due"))}
	if err := s.store.Sign(v.Request.Context(), sg, s.entering(v, "signed an estimate", hull, "revision "+v.Form("revision"))); err != nil {
		return s.sendBack(v, err, back+"?revision="+url.QueryEscape(v.Form("revision")))
	}
	v.Flash("Signed on revision %d. From now on the estimate changes by change orders.", n)
	return v.Redirect(back)
}

// freezeForm freezes the estimate of a hull that came from files.
func (s *Server) freezeForm(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull := v.Param("hull")
	back := "/estimate/" + url.PathEscape(hull)
	n, err := s.store.Freeze(v.Request.Context(), hull, s.entering(v, "froze an estimate", hull, "as signed"))
	if err != nil {
		return s.sendBack(v, err, back)
	}
	v.Flash("Kept as revision %d and frozen.", n)
	return v.Redirect(back)
}
