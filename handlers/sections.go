package handlers

import (
	"bytes"
	"net/http"
	"net/url"

	"hulltally/costing/review"
	"hulltally/labels"
)

// section is a part of a page of sections: sentences, tables, a note.
type section struct {
	ID, Title string
	Says      [][]figure
	Tables    []*grid
	Note      string
}

// sections is what sections.html is given.
type sections struct {
	Trail    []figure
	Lead     string
	Look     *look // the form that follows a batch or a lot
	AsOf     asOf
	Caution  string
	Facts    []fact
	Links    []figure
	Sections []section
}

type look struct{ Batch, Lot string }

// page makes the sections a page.
func (s *sections) page(title string) *ownedPage { return &ownedPage{"sections.html", title, s} }

// seesMoney reports whether the visitor may see cost and prices; everybody
// else gets the page without those columns.
func (g *ground) seesMoney() bool { return counters.allow(g.visit.Caller.Role) }

// open is an address if the visitor may go there: what shows cost is for those
// who may see it.
func (g *ground) open(href string) string {
	if g.seesMoney() {
		return href
	}
	return ""
}

// toTrace is where a lot or a batch is followed, for those who may.
func (g *ground) toTrace(pair ...string) string {
	if !tracers.allow(g.visit.Caller.Role) {
		return ""
	}
	return g.link("/trace", pair...)
}

// hullTrail leads back to a hull's own page.
func (g *ground) hullTrail(hull string) []figure {
	if !g.seesMoney() {
		return []figure{{Text: "Material", Href: g.link("/material")}}
	}
	return []figure{{Text: "The yard", Href: g.link("/board")}, {Text: nameOf(g.yard.Hulls[hull]), Href: g.toHull(hull)}}
}

// under is an address below a hull.
func (g *ground) under(hull, page string) string {
	return g.link("/hull/" + url.PathEscape(hull) + "/" + page)
}

// materialLinks lead from a hull's page to what is said of its material.
func (g *ground) materialLinks(hull string) []figure {
	list := []figure{
		{Text: "Resin, fibre and core against the estimate", Href: g.under(hull, "material")},
		{Text: "Mass and fibre fractions", Href: g.under(hull, "mass")},
	}
	if tracers.allow(g.visit.Caller.Role) {
		list = append(list, figure{Text: "Every batch aboard", Href: g.under(hull, "batches")})
	}
	return list
}

// jobFigure names a job; it leads to its postings of an element, if one may.
func (g *ground) jobFigure(key string, t review.Target) figure {
	f := words(key)
	if j := g.yard.Jobs[key]; j != nil && j.Part != "" {
		f.Text = j.Part
	}
	f.Href = g.open(g.toPostings(t))
	return f
}

// workerFigure names a worker or a crew, or says that nobody was named.
func (g *ground) workerFigure(key string) figure {
	switch w := g.yard.Workers[key]; {
	case key == "":
		return figure{Text: "nobody named"}
	case w != nil:
		return figure{Value: key, Text: w.Name}
	}
	if c := g.yard.Crews[key]; c != nil {
		return figure{Value: key, Text: c.Name}
	}
	return words(key)
}

// itemFigure names an item.
func (g *ground) itemFigure(key string) figure {
	f := words(key)
	if it := g.yard.Items[key]; it != nil {
		f.Text = it.Name
	}
	return f
}

// answerPaper answers with a page as PDF, and notes that it went out.
func (s *Server) answerPaper(v *Visit, list *labels.List) error {
	var b bytes.Buffer
	_, err := s.draw(v.Request.Context(), func() (int, error) {
		return labels.WriteList(&b, list, labels.SheetOptions{Fonts: s.fonts, Made: s.now()})
	})
	if err != nil {
		return err
	}
	if err := s.store.Note(v.Request.Context(), s.deed(v), "exported", "list of "+v.Request.URL.Path, v.Request.URL.RawQuery); err != nil {
		return err
	}
	v.Header("Content-Disposition", `attachment; filename="list.pdf"`)
	v.Header("Content-Security-Policy", sheetPolicy)
	v.Data(http.StatusOK, "application/pdf", b.Bytes())
	return nil
}
