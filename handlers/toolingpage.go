package handlers

import (
	"net/url"
	"slices"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/costing/review"
	"hulltally/costing/tooling"
	"hulltally/models"
)

// shownTool is a tool of the page.
type shownTool struct {
	tooling.Row
	ID                        string
	Cost, Final, Each         figure
	Charged, Open, Named, Not figure
	Table                     *grid
	Begun                     string
	Uses                      []models.ToolUseRow
}

// toolingPage says what tools cost, who bears it, and what is still open. Asked
// with another plan it shows what would move, and stores nothing.
func (s *Server) toolingPage(v *Visit) error { return s.owned(v, s.tooling) }

func (s *Server) tooling(g *ground) (*ownedPage, error) {
	c, err := g.figures.Cost()
	if err != nil {
		return nil, err
	}
	rows, err := c.Tools()
	if err != nil {
		return nil, err
	}
	var shown []shownTool
	for i := range rows {
		shown = append(shown, g.tool(&rows[i]))
	}
	d := map[string]any{
		"AsOf": g.asOf(), "Tools": shown, "Hulls": g.toolHulls(rows, c.Margins), "Code": g.currency.Code, "May": mayEstimate(g.visit), "Keys": keysInOrder(g.yard.Hulls),
		"Kinds": []string{"plug", "mould", "jig", "design", "other"}, "Today": g.figures.Day.String(),
	}
	if key := g.query.Get("tool"); key != "" && g.yard.Tools[key] != nil {
		planned, err := strconv.Atoi(g.query.Get("planned"))
		if err != nil || planned < 0 {
			return nil, models.Errorf(models.Invalid, "planned: give a whole number of uses")
		}
		d["Preview"], d["PreviewOf"], d["Planned"] = g.toolPreview(c.Yard, rows, key, int64(planned)), key, planned
	}
	return &ownedPage{"tooling.html", "Tooling and design", d}, nil
}

func (g *ground) tool(r *tooling.Row) shownTool {
	s := shownTool{
		Row: *r, ID: r.Tool.Key, Cost: g.cash(r.Actual).to(g.toPostings(review.Target{Hull: r.Tool.Key})), Final: g.cash(r.AtCompletion),
		Charged: g.cash(r.Now.Charged), Open: g.cash(r.Now.Open()), Named: g.cash(r.Now.Named), Not: g.cash(r.Now.Spare), Begun: r.Tool.Begun.String(),
	}
	t := g.table("uses-"+r.Tool.Key, "Who uses "+r.Tool.Name, col("hull", "Hull"), numCol("uses", "Uses"), col("made", "Made"), numCol("share", "Share of the cost so far, "+g.currency.Code), numCol("final", "Share at completion"))
	t.Empty = "No hull is named for it yet."
	for i, sh := range r.Now.Shares {
		made := words("to come")
		if sh.Made {
			made = words("made")
		}
		if sh.Over > 0 {
			made.Note = strconv.FormatInt(sh.Over, 10) + " beyond the plan bear nothing"
		}
		t.add(figure{Value: sh.Hull, Text: g.hullName(sh.Hull), Href: g.toHull(sh.Hull)}, count(int(sh.Uses)), made, g.cash(sh.Cost), g.cash(r.Final.Shares[i].Cost))
	}
	t.add(figure{Text: "planned, no hull named"}, count(int(r.Now.Unnamed)), figure{}, g.cash(r.Now.Spare), g.cash(r.Final.Spare))
	t.foot(words("The tool"), figure{}, figure{}, g.cash(r.Actual), g.cash(r.AtCompletion))
	s.Table = t
	for _, u := range r.Tool.Uses {
		row := models.ToolUseRow{Tool: r.Tool.Key, Hull: u.Hull, Uses: int(u.Uses)}
		if u.On != nil {
			row.Used = models.Day(u.On.String())
		}
		s.Uses = append(s.Uses, row)
	}
	return s
}

func (g *ground) hullName(key string) string {
	if h := g.boat(key); h != nil {
		return nameOf(h)
	}
	return key
}

// toolHulls sets each hull's margin before tooling beside the one after it.
func (g *ground) toolHulls(rows []tooling.Row, margins []forecast.Margin) *grid {
	t := g.table("hulls", "What the hulls bear", col("hull", "Hull"), numCol("margin", "Margin before tooling, "+g.currency.Code), numCol("charged", "Borne so far"), numCol("final", "Borne at completion"), numCol("after", "Margin after tooling"))
	byHull := tooling.ByHull(rows)
	for i := range margins {
		m := &margins[i]
		h := byHull[m.Hull]
		after := g.cash(m.Margin - h.Final)
		if m.Margin-h.Final < 0 {
			after.Class = "loss"
		}
		t.add(figure{Value: m.Hull, Text: g.hullName(m.Hull), Href: g.toHull(m.Hull)}, g.cash(m.Margin), g.cash(h.Charged), g.cash(h.Final), after)
	}
	return t
}

// toolPreview shows what another plan would move.
func (g *ground) toolPreview(y *costing.Yard, rows []tooling.Row, key string, planned int64) *grid {
	t := g.table("preview", "What another plan would move, at completion", col("who", "Who"), numCol("now", "Now, "+g.currency.Code), numCol("then", "Then"), numCol("moves", "Difference"))
	i := slices.IndexFunc(rows, func(r tooling.Row) bool { return r.Tool.Key == key })
	if i < 0 {
		return t
	}
	other := *y.Tools[key]
	other.Planned = planned
	then, err := tooling.Of(&other, rows[i].AtCompletion, g.figures.Day)
	if err != nil {
		return t
	}
	var a, b costing.Money
	for j, sh := range rows[i].Final.Shares {
		is := then.Shares[j].Cost
		a, b = a+sh.Cost, b+is
		t.add(words(sh.Hull), g.cash(sh.Cost), g.cash(is), g.cause(is-sh.Cost))
	}
	spare := rows[i].Final.Spare
	t.add(words("no hull named"), g.cash(spare), g.cash(then.Spare), g.cause(then.Spare-spare))
	t.foot(words("The tool"), g.cash(a+spare), g.cash(b+then.Spare), g.cause(b+then.Spare-a-spare))
	return t
}

// enterTool enters a tool, or its plan anew.
func (s *Server) enterTool(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	planned, err := strconv.Atoi(v.Form("planned"))
	if err != nil {
		return s.sendBack(v, models.Errorf(models.Invalid, "planned uses: give a whole number"), "/tooling")
	}
	row := models.ToolRow{Tool: v.Form("tool"), Name: v.Form("name"), Kind: v.Form("kind"), Begun: models.Day(v.Form("begun")), PlannedUses: planned}
	return s.enterRow(v, row, "planned tooling", row.Tool, "/tooling#tool-"+url.PathEscape(row.Tool))
}

// enterToolUse enters how often a hull uses a tool.
func (s *Server) enterToolUse(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	uses, err := strconv.Atoi(v.Form("uses"))
	if err != nil {
		return s.sendBack(v, models.Errorf(models.Invalid, "uses: give a whole number"), "/tooling")
	}
	row := models.ToolUseRow{Tool: v.Form("tool"), Hull: v.Form("hull"), Uses: uses, Used: models.Day(v.Form("used"))}
	return s.enterRow(v, row, "planned tooling", row.Tool+" for "+row.Hull, "/tooling#tool-"+url.PathEscape(row.Tool))
}

// enterRow enters one row of a form and goes back to its page.
func (s *Server) enterRow(v *Visit, row any, did, subject, back string) error {
	files, err := models.FilesOf(row)
	if err == nil {
		_, err = s.store.Enter(v.Request.Context(), files, s.entering(v, did, subject, v.Form("why")))
	}
	if err != nil {
		return s.sendBack(v, err, back)
	}
	v.Flash("Entered: %s.", subject)
	return v.Redirect(back)
}
