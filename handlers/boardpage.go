package handlers

import (
	"strconv"

	"hulltally/costing"
	"hulltally/costing/review"
)

// strip is one hull on the board.
type strip struct {
	Key, Name, Model, Href string
	Standing               review.Standing
	Says                   string // the standing in words
	Margin, Share, Fall    figure
	Progress               figure
	Why                    [][]figure
	Bar                    hullBar
	Spark                  *spark
	Month                  *figure // how far the margin moved since the last month end
	Since                  string  // the day from which a loss is forecast
}

// standingSays are the standings in words.
var standingSays = map[review.Standing]string{
	review.Losing: "Loses money", review.Slipping: "Margin is falling", review.Holding: "Holds", review.Gaining: "Ahead of its estimate",
}

// boardPage is the yard at a glance: what needs attention first.
func (s *Server) boardPage(v *Visit) error { return s.owned(v, board) }

func board(g *ground) (*ownedPage, error) {
	books, err := g.books()
	if err != nil {
		return nil, err
	}
	hulls, err := review.Hulls(books, "")
	if err != nil {
		return nil, err
	}
	hulls, filter, err := g.filter(hulls)
	if err != nil {
		return nil, err
	}
	if g.statements, err = g.tx.AllStatements(g.figures); err != nil {
		return nil, err
	}
	strips := make([]strip, len(hulls))
	for i, h := range hulls {
		if strips[i], err = g.strip(books, h); err != nil {
			return nil, err
		}
	}
	return &ownedPage{"board.html", "The yard", map[string]any{
		"AsOf": g.asOf("model", "stage"), "Headline": g.headline(hulls), "Strips": strips, "Table": g.boardTable(hulls), "Filter": filter,
		"Forecasts": g.sayingsTable("What was foreseen with a quarter, half and three quarters of the work done, and what it became", hulls),
	}}, nil
}

func (g *ground) strip(b *review.Books, h *review.Hull) (strip, error) {
	s := strip{
		Key: h.Hull.Key, Name: h.Hull.Name, Model: h.Hull.Model, Href: g.toHull(h.Hull.Key),
		Standing: h.Standing(), Says: standingSays[h.Standing()],
		Margin: g.whole(h.Margin.Margin), Share: part(h.Share()), Progress: part(h.Progress()), Bar: g.hullBar(h),
	}
	s.Fall = g.signed(-h.Fall())
	if err := g.moved(b, h, &s); err != nil {
		return s, err
	}
	why, err := g.causes(b, h)
	s.Why = why
	return s, err
}

// moved says how the margin has moved from month to month.
func (g *ground) moved(b *review.Books, h *review.Hull, s *strip) error {
	trend, err := g.trendOf(b, h)
	if err != nil {
		return err
	}
	s.Spark = g.sparkOf(h.Hull.Key, trend)
	if was, ok := review.Before(trend); ok {
		f := g.signed(h.Margin.Margin - was)
		f.Note = "in " + review.MonthName(trend[len(trend)-1].Day.Period())
		s.Month = &f
	}
	if day, ok := review.LosingSince(trend); ok {
		s.Since = review.DayName(day)
	}
	return nil
}

// causes says the dearest cause, of a hull that loses money the dearest three,
// or that nothing stands out.
func (g *ground) causes(b *review.Books, h *review.Hull) ([][]figure, error) {
	findings := h.Findings()
	if len(findings) == 0 {
		return [][]figure{{{Text: "Nothing costs more than was estimated."}}}, nil
	}
	most := 1
	if h.Standing() == review.Losing {
		most = 3
	}
	var list [][]figure
	for i := range findings {
		f := &findings[i]
		if i == most || i > 0 && !h.Notable(f) {
			break
		}
		said, err := g.say(b, h, f)
		if err != nil {
			return nil, err
		}
		if !h.Notable(f) {
			said = append([]figure{{Text: "No single cause stands out. The largest: "}}, said...)
		}
		list = append(list, said)
	}
	return list, nil
}

// say puts a finding into words with links.
func (g *ground) say(b *review.Books, h *review.Hull, f *review.Finding) ([]figure, error) {
	facts, err := g.facts(h.Hull.Key, f)
	if err != nil {
		return nil, err
	}
	said, err := h.Say(b, f, facts)
	return g.sentence(said), err
}

// facts reads what a finding's sentence is made from.
func (g *ground) facts(hull string, f *review.Finding) (*review.Facts, error) {
	facts := &review.Facts{}
	if f.Theme != review.Hours {
		return facts, nil
	}
	days, err := g.labourDays(hull, f.Stage.Key)
	if err != nil {
		return nil, err
	}
	for _, d := range days {
		facts.Worked = append(facts.Worked, review.Worked{Job: d.Job, Day: d.Day, Seconds: d.Seconds})
	}
	facts.Statements, err = g.stated(hull)
	return facts, err
}

// headline says the whole board in a sentence or two.
func (g *ground) headline(hulls []*review.Hull) []figure {
	if len(hulls) == 0 {
		return []figure{{Text: "The yard has no hulls yet: they come with hulls.csv."}}
	}
	var losing []*review.Hull
	var forecast, signed costing.Money
	for _, h := range hulls {
		if h.Standing() == review.Losing {
			losing = append(losing, h)
		}
		forecast += h.Margin.Margin
		signed += h.SignedMargin()
	}
	var said []figure
	say := func(text, href string) { said = append(said, figure{Text: text, Href: href}) }
	if len(losing) == 0 {
		say("No hull loses money. ", "")
	}
	for i, h := range losing {
		if i > 0 {
			say(", ", "")
		}
		say(nameOf(h.Hull), g.toHull(h.Hull.Key))
		say(" loses "+review.Cash(g.currency, -h.Margin.Margin), "")
	}
	if earn := len(hulls) - len(losing); len(losing) > 0 && earn > 0 {
		say("; the other "+strconv.Itoa(earn)+" earn", "")
	}
	if len(losing) > 0 {
		say(". ", "")
	}
	say("All together: "+review.Cash(g.currency, forecast)+" of margin forecast, "+review.Cash(g.currency, signed)+" signed for.", "")
	return said
}

func nameOf(h *costing.Hull) string {
	if h.Name == "" {
		return h.Key
	}
	return h.Key + " " + h.Name
}

// boardTable has every figure to the cent.
func (g *ground) boardTable(hulls []*review.Hull) *grid {
	code := ", " + g.currency.Code
	t := g.table("hulls", "Every hull, to the cent", col("hull", "Hull"), numCol("price", "Price"+code), numCol("changes", "Agreed changes"),
		numCol("estimate", "Estimate"), numCol("actual", "Actual"), numCol("to_complete", "To complete"), numCol("at_completion", "At completion"),
		numCol("margin", "Margin"), numCol("margin_share", "Share"), numCol("signed_margin", "Margin signed for"), numCol("moved", "Moved since the last month end"), numCol("progress", "Progress"))
	var sum [7]costing.Money
	for _, h := range hulls {
		row := [7]costing.Money{h.Price, h.Margin.Changes, h.Estimate, h.Actual, h.ToComplete, h.AtCompletion, h.Margin.Margin}
		cells := []figure{{Value: h.Hull.Key, Text: nameOf(h.Hull), Href: g.toHull(h.Hull.Key)}}
		for i, m := range row {
			sum[i] += m
			cells = append(cells, g.cash(m))
		}
		if h.Margin.Margin < 0 {
			cells[7].Class = "loss"
		}
		moved := figure{}
		if was, ok := review.Before(g.trends[h.Hull.Key]); ok {
			moved = g.gained(h.Margin.Margin - was)
		}
		t.add(append(cells, part(h.Share()), g.cash(h.SignedMargin()), moved, part(h.Progress()))...).ID = "row-" + h.Hull.Key
	}
	cells := []figure{words("All hulls")}
	for _, m := range sum {
		cells = append(cells, g.cash(m))
	}
	t.foot(append(cells, figure{}, figure{}, figure{}, figure{})...)
	return t
}
