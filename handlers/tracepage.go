package handlers

import (
	"maps"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/recall"
	"hulltally/costing/review"
	"hulltally/labels"
	"hulltally/models"
)

// tracePage follows a supplier's batch, or a lot, to every hull, stage, part,
// worker and date it went into: a maker's recall in one step.
func (s *Server) tracePage(v *Visit) error { return s.owned(v, tracePage) }

func tracePage(g *ground) (*ownedPage, error) {
	batch, lot := strings.TrimSpace(g.query.Get("batch")), strings.TrimSpace(g.query.Get("lot"))
	p := &sections{Trail: []figure{{Text: "Material", Href: g.link("/material")}}, Look: &look{batch, lot}, AsOf: g.asOf("batch", "lot")}
	if batch == "" && lot == "" {
		p.Lead = "From a batch or a lot to every hull, part, worker and day it went into."
		return p.page("Follow a batch"), nil
	}
	if batch != "" && lot != "" {
		return nil, models.Errorf(models.Invalid, "a lot and a batch are asked for: name one of them")
	}
	rows, err := g.tx.TraceLots(g.ctx, g.figures, batch, lot)
	if err != nil {
		return nil, err
	}
	title := "Batch " + batch
	if lot != "" {
		title = "Lot " + lot
	}
	hits := recall.Hulls(rows)
	p.Facts = g.lotFacts(rows)
	p.Links = []figure{{Text: "As PDF", Href: g.here("pdf", "1")}, {Text: "As CSV", Href: g.here("csv", "trace")}}
	aboard := section{ID: "hulls", Title: "Hulls it went into", Tables: []*grid{g.hitsTable(hits)}}
	if len(hits) == 0 {
		p.Lead = "It went into no hull."
	}
	p.Sections = []section{aboard, {ID: "trace", Title: "Every movement", Tables: []*grid{g.traceTable(rows)}, Note: traceNote}}
	g.paper = g.tracePaper(title, rows)
	return p.page(title), nil
}

// here is this page's address with one thing more.
func (g *ground) here(name, value string) string {
	q := g.visit.Request.URL.Query()
	q.Set(name, value)
	return g.visit.Request.URL.EscapedPath() + "?" + q.Encode()
}

// lotFacts says what the lots of the rows are.
func (g *ground) lotFacts(rows []recall.Row) []fact {
	lots := map[string]*recall.Row{}
	left := map[string]costing.Quantity{}
	for i := range rows {
		lots[rows[i].Lot] = &rows[i]
		if rows[i].Place == recall.OnShelf {
			left[rows[i].Lot] += rows[i].Quantity
		}
	}
	var facts []fact
	for _, key := range slices.Sorted(maps.Keys(lots)) {
		r := lots[key]
		f := figure{Value: key, Text: g.itemFigure(r.Item).Text, Href: g.open(g.link("/lot/" + key))}
		if r.Batch != "" {
			f.Text += ", batch " + r.Batch
		}
		f.Text += ", received " + review.DayName(r.Received)
		if it := g.yard.Items[r.Item]; it != nil {
			f.Note = amountOf(left[key], "").Text + " " + review.UnitName(it.StockUnit) + " on the shelf"
		}
		facts = append(facts, fact{"Lot " + key, f})
	}
	return facts
}

func (g *ground) hitsTable(hits []recall.Hit) *grid {
	t := g.table("hulls", "Hulls", col("hull", "Hull"), col("stages", "Stages"), numCol("jobs", "Jobs"), col("from", "First"), col("to", "Last"))
	t.Empty = "None."
	for _, h := range hits {
		name := words(h.Hull)
		if boat := g.yard.Hulls[h.Hull]; boat != nil {
			name = figure{Value: h.Hull, Text: nameOf(boat), Href: g.under(h.Hull, "batches")}
		}
		stages := make([]string, len(h.Stages))
		for i, s := range h.Stages {
			stages[i] = g.stageName(s)
		}
		t.add(name, figure{Value: strings.Join(h.Stages, ";"), Text: strings.Join(stages, ", ")}, words(itoa(int64(h.Jobs))), day(h.From), day(h.To))
	}
	return t
}

var placeNames = map[recall.Place]string{
	recall.Aboard: "a hull", recall.OnShelf: "the shelf", recall.Scrapped: "scrapped", recall.Offcut: "an offcut kept", recall.Difference: "missed by a count",
}

// traceTable has a row for each lot, place, job, worker and day.
func (g *ground) traceTable(rows []recall.Row) *grid {
	t := g.table("trace", "Where it went", col("lot", "Lot"), col("hull", "To"), col("job", "Part"), col("worker", "By"), col("date", "Day"),
		numCol("quantity", "Quantity"), numCol("waste", "Weighed as waste"), col("stage", "Stage"), col("item", "Item"), col("supplier_batch", "Batch"),
		col("place", "Place"))
	t.Empty = "Nothing came in of it."
	for i := range rows {
		r := &rows[i]
		var unit costing.Unit
		if it := g.yard.Items[r.Item]; it != nil {
			unit = it.StockUnit
		}
		batch := words(r.Batch)
		if r.Batch != "" {
			batch.Href = g.toTrace("batch", r.Batch)
		}
		cells := []figure{
			{Value: r.Lot, Text: r.Lot, Href: g.toTrace("lot", r.Lot)},
			{Text: placeNames[r.Place]},
			{},
			{},
			{},
			amountOf(r.Quantity, unit),
			{},
			{},
			g.itemFigure(r.Item), batch,
			{Value: string(r.Place), Text: placeNames[r.Place]},
		}
		if r.Hull != "" {
			cells[1] = figure{Value: r.Hull, Text: r.Hull}
			cells[7] = figure{Value: r.Stage, Text: g.stageName(r.Stage)}
			cells[2] = g.jobFigure(r.Job, review.Target{Hull: r.Hull, Job: r.Job, Element: costing.Material, Detail: r.Item})
		}
		if r.Place == recall.Aboard {
			cells[3], cells[4] = g.workerFigure(r.Worker), day(r.Day)
		}
		if r.Waste != 0 {
			cells[6] = amountOf(r.Waste, "")
		}
		t.add(cells...)
	}
	return t
}

// tracePaper is the trace to print and send.
func (g *ground) tracePaper(title string, rows []recall.Row) *labels.List {
	l := &labels.List{
		Title: title, Note: traceNote,
		About: g.yard.Name + ". Books as of " + g.moment(g.figures.At) + " (" + g.yard.Zone.String() + "). Every lot, and where it went.",
		Columns: []labels.ListColumn{
			{Head: "Lot", Share: 7},
			{Head: "Item", Share: 14},
			{Head: "Batch", Share: 8},
			{Head: "To", Share: 8},
			{Head: "Hull", Share: 5},
			{Head: "Stage", Share: 11},
			{Head: "Part", Share: 16},
			{Head: "By", Share: 11},
			{Head: "Day", Share: 8},
			{Head: "Quantity", Share: 9, Right: true},
			{Head: "Waste", Share: 6, Right: true},
		},
	}
	for i := range rows {
		r := &rows[i]
		var unit string
		if it := g.yard.Items[r.Item]; it != nil {
			unit = " " + review.UnitName(it.StockUnit)
		}
		cells := []string{
			r.Lot, g.itemFigure(r.Item).Text, r.Batch, placeNames[r.Place], r.Hull, "", r.Part, "", dateOr(r.Day, r.Place == recall.Aboard),
			amountOf(r.Quantity, "").Text + unit, "",
		}
		if r.Hull != "" {
			cells[5] = g.stageName(r.Stage)
		}
		if r.Place == recall.Aboard {
			cells[7] = g.workerFigure(r.Worker).Text
		}
		if r.Waste != 0 {
			cells[10] = amountOf(r.Waste, "").Text
		}
		l.Rows = append(l.Rows, cells)
	}
	return l
}

// hullBatchesPage is every batch aboard a hull.
func (s *Server) hullBatchesPage(v *Visit) error { return s.owned(v, hullBatchesPage) }

func hullBatchesPage(g *ground) (*ownedPage, error) {
	hull := g.visit.Param("hull")
	rows, err := g.tx.TraceHull(g.ctx, g.figures, hull)
	if err != nil {
		return nil, err
	}
	title := "Batches aboard " + nameOf(g.yard.Hulls[hull])
	p := &sections{
		Trail: g.hullTrail(hull), AsOf: g.asOf(), Look: &look{},
		Links: append(g.materialLinks(hull)[:2], figure{Text: "As PDF", Href: g.here("pdf", "1")}, figure{Text: "As CSV", Href: g.here("csv", "trace")}),
		Sections: []section{
			{ID: "batches", Title: "Batches", Tables: []*grid{g.batchesTable(rows)}, Note: "What counts found missing is borne, not aboard, and stands apart."},
			{ID: "trace", Title: "Every movement", Tables: []*grid{g.traceTable(rows)}, Note: traceNote},
		},
	}
	g.paper = g.tracePaper(title, rows)
	return p.page(title), nil
}

// batchesTable sums a hull's trace up by lot.
func (g *ground) batchesTable(rows []recall.Row) *grid {
	t := g.table("batches", "Batches aboard", col("lot", "Lot"), col("item", "Item"), col("supplier_batch", "Supplier's batch"), col("received", "Received"),
		col("expires", "Use by"), numCol("drawn", "Drawn"), numCol("waste", "Weighed as waste"), numCol("borne", "Borne of counts"), numCol("parts", "Parts"))
	t.Empty = "Nothing was drawn for it."
	type sum struct {
		row                 *recall.Row
		drawn, waste, borne costing.Quantity
		jobs                map[string]bool
	}
	sums := map[string]*sum{}
	for i := range rows {
		r := &rows[i]
		s := sums[r.Lot]
		if s == nil {
			s = &sum{row: r, jobs: map[string]bool{}}
			sums[r.Lot] = s
		}
		if r.Place == recall.Difference {
			s.borne += r.Quantity
			continue
		}
		s.drawn += r.Quantity
		s.waste += r.Waste
		s.jobs[r.Job] = true
	}
	for _, key := range slices.SortedFunc(maps.Keys(sums), func(a, b string) int {
		return strings.Compare(sums[a].row.Item+"\x00"+a, sums[b].row.Item+"\x00"+b)
	}) {
		s := sums[key]
		var unit costing.Unit
		if it := g.yard.Items[s.row.Item]; it != nil {
			unit = it.StockUnit
		}
		expires, batch := figure{}, words(s.row.Batch)
		if s.row.Expires != costing.FromStart {
			expires = day(s.row.Expires)
		}
		if s.row.Batch != "" {
			batch.Href = g.toTrace("batch", s.row.Batch)
		}
		t.add(figure{Value: key, Text: key, Href: g.toTrace("lot", key)}, g.itemFigure(s.row.Item), batch, day(s.row.Received), expires,
			amountOf(s.drawn, unit), amountOf(s.waste, ""), amountOf(s.borne, ""), words(itoa(int64(len(s.jobs)))))
	}
	return t
}
