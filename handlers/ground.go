package handlers

import (
	"context"
	"net/url"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/labels"
	"hulltally/models"
)

// ground is what an owner's page stands on: the books as of an instant.
type ground struct {
	ctx      context.Context
	visit    *Visit
	tx       *models.Tx
	figures  *models.Figures
	yard     *costing.Yard
	currency costing.Currency
	at       string // as asked for; empty is now
	query    url.Values
	grids    []*grid
	paper    *labels.List // the page as it is printed, where it is

	labour     map[[2]string][]models.LabourDay // by hull and stage, once read
	statements map[string][]review.Statement    // by hull
	trends     map[string][]review.Standpoint   // by hull
}

// ownedPage is a page made on a ground: its template, its title, its data.
type ownedPage struct {
	Template, Title string
	Data            any
}

// asOf is the form that picks the day a page looks at.
type asOf struct {
	Path     string
	At       costing.Instant
	Day      string
	Picked   bool
	Keep     []keep // what else the address says
	Now      string // the address of the page as of now
	Code     string // of the currency
	Running  int    // bookings that nobody has ended
	Workbook string // the address of all tables of the page
}

type keep struct{ Name, Value string }

// owned answers with a page of the books, or with one of its tables as CSV.
func (s *Server) owned(v *Visit, build func(*ground) (*ownedPage, error)) error {
	query := v.Request.URL.Query()
	for name, values := range query {
		for _, value := range values {
			if err := readable(value); err != nil {
				return models.Errorf(models.Invalid, "%.40q: %v", name, err)
			}
		}
	}
	for _, p := range v.Params {
		if err := readable(p.Value); err != nil {
			return err
		}
	}
	var p *ownedPage
	g := &ground{
		ctx: v.Request.Context(), visit: v, at: query.Get("at"), query: query,
		labour: map[[2]string][]models.LabourDay{}, statements: map[string][]review.Statement{}, trends: map[string][]review.Standpoint{},
	}
	err := s.store.Read(g.ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(g.ctx)
		if err != nil {
			return err
		}
		at, err := instantOf(g.at, costing.InstantOf(s.now()), snap.Yard)
		if err != nil {
			return err
		}
		if g.figures, err = tx.Figures(g.ctx, at); err != nil {
			return err
		}
		g.tx, g.yard, g.currency = tx, snap.Yard, snap.Yard.Currency
		p, err = build(g)
		return err
	})
	if err != nil {
		return err
	}
	if query.Get("pdf") != "" && g.paper != nil {
		return s.answerPaper(v, g.paper)
	}
	for _, as := range []string{"csv", "xlsx"} {
		if name := query.Get(as); name != "" {
			return s.answerFile(v, as, name, g)
		}
	}
	return v.Page(p.Template, p.Title, p.Data)
}

// instantOf reads what a page looks at: the end of a day, or an instant.
func instantOf(at string, now costing.Instant, y *costing.Yard) (costing.Instant, error) {
	if at == "" {
		return now, nil
	}
	if strings.Contains(at, "T") {
		i, err := costing.ParseInstant(at)
		if err != nil {
			return 0, models.Errorf(models.Invalid, "at: %v", err)
		}
		return min(i, now), nil
	}
	day, err := costing.ParseDate(at)
	if err != nil {
		return 0, models.Errorf(models.Invalid, "at: %v", err)
	}
	return min((day+1).At(0, y.Zone)-1, now), nil // what is to come nobody has recorded
}

// books reviews the figures.
func (g *ground) books() (*review.Books, error) {
	cost, err := g.figures.Cost()
	if err != nil {
		return nil, err
	}
	return cost.Review(), nil
}

// hull reviews the hull that the address names.
func (g *ground) hull(b *review.Books) (*review.Hull, error) {
	key := g.visit.Param("hull")
	if g.yard.Hulls[key] == nil {
		return nil, models.Errorf(models.NotFound, "there is no hull %q", key)
	}
	list, err := review.Hulls(b, key)
	if err != nil {
		return nil, err
	}
	return list[0], nil
}

// asOf is the form with the day looked at; names are what else it keeps.
func (g *ground) asOf(names ...string) asOf {
	u := g.visit.Request.URL
	a := asOf{
		Path: u.EscapedPath(), At: g.figures.At, Day: g.figures.Day.String(), Picked: g.at != "", Code: g.currency.Code,
		Workbook: fileAddress(u, "xlsx", everyTable),
	}
	kept := url.Values{}
	for _, name := range names {
		if value := g.query.Get(name); value != "" {
			a.Keep = append(a.Keep, keep{name, value})
			kept.Set(name, value)
		}
	}
	a.Now = a.Path
	if len(kept) > 0 {
		a.Now += "?" + kept.Encode()
	}
	return a
}

// table begins a table of the page.
func (g *ground) table(id, caption string, columns ...gridColumn) *grid {
	t := &grid{ID: id, Caption: caption, Columns: columns, Empty: "There is nothing to show."}
	t.CSV, t.XLSX = fileAddress(g.visit.Request.URL, "csv", id), fileAddress(g.visit.Request.URL, "xlsx", id)
	g.grids = append(g.grids, t)
	return t
}

// link is an address that looks at the same day.
func (g *ground) link(path string, query ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(query); i += 2 {
		if query[i+1] != "" {
			q.Set(query[i], query[i+1])
		}
	}
	if g.at != "" {
		q.Set("at", g.at)
	}
	if len(q) == 0 {
		return path
	}
	return path + "?" + q.Encode()
}

func (g *ground) toHull(hull string) string { return g.link("/hull/" + url.PathEscape(hull)) }

func (g *ground) toStage(hull, stage string) string {
	return g.link("/hull/" + url.PathEscape(hull) + "/stage/" + url.PathEscape(stage))
}

func (g *ground) toPostings(t review.Target, more ...string) string {
	return g.link("/postings", append([]string{
		"hull", t.Hull, "stage", t.Stage, "element", string(t.Element),
		"purpose", string(t.Purpose), "job", t.Job, "detail", t.Detail,
	}, more...)...)
}

// toTarget is where a word of a sentence leads.
func (g *ground) toTarget(t *review.Target) string {
	var href string
	switch {
	case t == nil:
		return ""
	case t.Element != "" || t.Job != "" || t.Detail != "":
		href = g.toPostings(*t)
	case t.Stage != "":
		href = g.toStage(t.Hull, t.Stage)
	default:
		href = g.toHull(t.Hull)
	}
	if t.Part != "" {
		href += "#" + t.Part
	}
	return href
}

// sentence turns words into figures with links.
func (g *ground) sentence(w review.Words) []figure {
	list := make([]figure, len(w))
	for i, word := range w {
		list[i] = figure{Text: word.Text, Href: g.toTarget(word.To)}
	}
	return list
}

// stageName is what a stage is called.
func (g *ground) stageName(key string) string {
	if s := g.yard.Stages[key]; s != nil && s.Name != "" {
		return s.Name
	}
	return key
}

// labourDays is the labour of a hull, or of one of its stages, by day.
func (g *ground) labourDays(hull, stage string) ([]models.LabourDay, error) {
	for _, k := range [][2]string{{hull, stage}, {hull, ""}} { // a hull's are its stages' too
		if days, read := g.labour[k]; read {
			return days, nil
		}
	}
	days, err := g.tx.LabourDays(g.figures, hull, stage)
	g.labour[[2]string{hull, stage}] = days
	return days, err
}

// stated lists the progress that a hull's jobs have stated.
func (g *ground) stated(hull string) ([]review.Statement, error) {
	if list, read := g.statements[hull]; read {
		return list, nil
	}
	list, err := g.tx.Statements(g.figures, hull)
	g.statements[hull] = list
	return list, err
}
