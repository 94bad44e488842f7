package handlers

import (
	"net/url"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/handlers/workbook"
	"hulltally/models"
)

// postingsOnPage is how many postings a page shows.
const postingsOnPage = 100

// postingsPage lists what a figure is made of; each posting leads to what
// caused it.
func (s *Server) postingsPage(v *Visit) error { return s.owned(v, postingsPage) }

// postingKeys are what postings are picked by, in the order they are said.
var postingKeys = []string{"hull", "stage", "job", "element", "purpose", "detail", "period", "week"}

func postingsPage(g *ground) (*ownedPage, error) {
	q, err := g.postingQuery()
	if err != nil {
		return nil, err
	}
	page, err := strconv.Atoi("0" + g.query.Get("page"))
	if err != nil || page > 1_000_000 {
		return nil, models.Errorf(models.Invalid, "page: %.20q is not the number of a page", g.query.Get("page"))
	}
	page = max(page, 1)
	offset, limit := (page-1)*postingsOnPage, postingsOnPage
	if g.exports() {
		offset, limit = 0, 0
	}
	list, err := g.tx.Postings(g.ctx, g.figures, q, offset, limit)
	if err != nil {
		return nil, err
	}
	pages := max((list.Count+postingsOnPage-1)/postingsOnPage, 1)
	return &ownedPage{"postings.html", "Postings of " + nameOf(g.boat(q.Hull)), map[string]any{
		"AsOf": g.asOf(postingKeys...), "Board": g.link("/board"), "Hull": figure{Text: nameOf(g.boat(q.Hull)), Href: g.toBoat(q.Hull)},
		"Stage": g.stageTrail(&q), "Picked": g.pickedBy(), "Count": review.People(strconv.Itoa(list.Count)), "One": list.Count == 1,
		"Total": g.cash(list.Sums.Amount), "Seconds": list.Sums.Seconds, "Hours": hoursOf(list.Sums.Seconds),
		"Table": g.postingsTable(&q, list), "Page": page, "Pages": pages,
		"Print":  g.printJob(q.Job),
		"Before": g.pageLink(page-1, pages), "After": g.pageLink(page+1, pages),
	}}, nil
}

func (g *ground) postingQuery() (models.PostingQuery, error) {
	get := g.query.Get
	q := models.PostingQuery{
		Hull: get("hull"), Stage: get("stage"), Element: costing.Element(get("element")), Purpose: costing.Purpose(get("purpose")),
		Job: get("job"), Detail: get("detail"),
	}
	if g.boat(q.Hull) == nil {
		return q, models.Errorf(models.NotFound, "there is no hull %.60q: postings are shown of one hull", q.Hull)
	}
	if p := get("period"); p != "" {
		var err error
		if q.Period, err = costing.ParsePeriod(p); err != nil {
			return q, models.Errorf(models.Invalid, "period: %v", err)
		}
	}
	var err error
	if w := get("week"); w != "" {
		q.Week, err = parseWeek(w)
	}
	return q, err
}

// parseWeek reads an ISO week such as 2026-W05 and gives its Monday.
func parseWeek(text string) (costing.Date, error) {
	year, week, ok := strings.Cut(text, "-W")
	n, err := strconv.Atoi(week)
	if fourth, err2 := costing.ParseDate(year + "-01-04"); ok && err == nil && err2 == nil { // always in week 1
		if monday := fourth.Monday() + costing.Date(7*(n-1)); monday.Week() == text {
			return monday, nil
		}
	}
	return 0, models.Errorf(models.Invalid, "week: %.20q is not a week such as 2026-W05", text)
}

func (g *ground) stageTrail(q *models.PostingQuery) *figure {
	stage := q.Stage
	if job := g.yard.Jobs[q.Job]; stage == "" && job != nil {
		stage = job.Stage
	}
	if stage == "" {
		return nil
	}
	return &figure{Text: g.stageName(stage), Href: g.toStage(q.Hull, stage)}
}

// pickedBy says what the postings were picked by.
func (g *ground) pickedBy() []keep {
	var list []keep
	for _, key := range postingKeys {
		value := g.query.Get(key)
		if value == "" {
			continue
		}
		switch key {
		case "stage":
			value = g.stageName(value)
		case "hull":
			value = nameOf(g.boat(value))
		case "job":
			if j := g.yard.Jobs[value]; j != nil && j.Part != "" {
				value += ", " + j.Part
			}
		case "detail":
			key, value = g.detailName(value)
		case "period":
			key = "month"
		}
		list = append(list, keep{key, value})
	}
	return list
}

// detailName says what a posting's detail is: a grade or an item.
func (g *ground) detailName(detail string) (kind, name string) {
	if it := g.yard.Items[detail]; it != nil {
		return "item", it.Name
	}
	if _, grade := g.yard.Grades[detail]; grade {
		return "grade", detail
	}
	return "detail", detail
}

func (g *ground) pageLink(page, pages int) string {
	if page < 1 || page > pages {
		return ""
	}
	u := g.visit.Request.URL
	q := u.Query()
	q.Set("page", strconv.Itoa(page))
	return u.EscapedPath() + "?" + q.Encode()
}

func (g *ground) postingsTable(q *models.PostingQuery, list *models.PostingList) *grid {
	t := g.table("postings", "Postings, by date", col("date", "Date"), col("source", "Came from"), col("stage", "Stage"), col("job", "Job"),
		col("element", "Element"), col("purpose", "Purpose"), col("detail", "Grade, item or words"), numCol("seconds", "Time, h"),
		numCol("quantity", "Quantity"), numCol("amount", "Amount, "+g.currency.Code))
	t.Empty = "Nothing was posted."
	for i := range list.Rows {
		p := &list.Rows[i]
		_, detail := g.detailName(p.Detail)
		var seconds, quantity figure
		if p.Seconds != 0 {
			seconds = hoursOf(p.Seconds)
		}
		if p.Quantity != 0 || p.Waste != 0 {
			var unit costing.Unit
			if it := g.yard.Items[p.Detail]; it != nil {
				unit = it.StockUnit
			}
			quantity = amountOf(p.Quantity, unit)
		}
		part := figure{Value: p.Job, Text: p.Job}
		if j := g.yard.Jobs[p.Job]; j != nil && j.Part != "" {
			part.Text = j.Part
		}
		element := words(string(p.Element))
		if p.Credit == costing.OnCostsPayable {
			element.Note = "on-cost"
		}
		t.add(figure{Value: p.Date.String(), Text: p.Date.String(), kind: workbook.Day}, g.source(p, list.Entries[p.Source]),
			figure{Value: p.Stage, Text: g.stageName(p.Stage)}, part, element, words(string(p.Purpose)),
			figure{Value: p.Detail, Text: detail}, seconds, quantity, g.cash(p.Amount))
	}
	total := figure{}
	if list.OneItem && q.Element == costing.Material {
		if it := g.yard.Items[q.Detail]; it != nil {
			total = amountOf(list.Sums.Quantity, it.StockUnit)
		}
	}
	t.foot(words("All "+review.People(strconv.Itoa(list.Count))), figure{}, figure{}, figure{}, figure{}, figure{}, figure{},
		hoursOf(list.Sums.Seconds), total, g.cash(list.Sums.Amount))
	return t
}

// source says what caused a posting, and leads to it.
func (g *ground) source(p *costing.Posting, e *models.EntryOf) figure {
	toEntry := g.link("/booking/" + url.PathEscape(p.Source))
	switch {
	case p.Element == costing.BoughtIn:
		document := strings.TrimPrefix(p.Source, "bought ")
		return figure{Value: p.Source, Text: "purchase " + document, Href: g.link("/purchase", "document", document)}
	case strings.HasPrefix(p.Source, "count "):
		lot, _, _ := cutLast(strings.TrimPrefix(p.Source, "count "), " ")
		return figure{Value: p.Source, Text: "count of lot " + lot, Href: g.toLot(lot, p.Source)}
	case e != nil && e.Lot != "":
		return figure{Value: p.Source, Text: string(e.Kind) + ", lot " + e.Lot, Href: g.toLot(e.Lot, p.Source)}
	case e != nil:
		return figure{Value: p.Source, Text: "booking, " + g.clock(e.At), Href: toEntry}
	case strings.HasPrefix(p.Source, "correction "):
		f := figure{Value: p.Source, Text: "correction", Href: toEntry}
		if !payroll.allow(g.visit.Caller.Role) { // its id names the worker
			f.Value, f.Href = "correction", ""
		}
		return f
	}
	return words(p.Source)
}

// cutLast cuts a text at the last of a mark.
func cutLast(s, mark string) (before, after string, found bool) {
	i := strings.LastIndex(s, mark)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(mark):], true
}

// clock is an instant's local time of day.
func (g *ground) clock(at costing.Instant) string { return at.Time().In(g.yard.Zone).Format("15:04") }

// moment is an instant in the yard's own time.
func (g *ground) moment(at costing.Instant) string {
	return at.Time().In(g.yard.Zone).Format("2006-01-02 15:04:05")
}

// toLot leads to a movement of a lot.
func (g *ground) toLot(lot, source string) string {
	href := g.link("/lot/" + url.PathEscape(lot))
	if source != "" {
		href += "#" + anchor(source)
	}
	return href
}

// anchor is the place of a movement on its lot's page.
func anchor(source string) string {
	return "m-" + strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return r
		}
		return '-'
	}, source)
}
