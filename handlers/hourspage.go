package handlers

import (
	"cmp"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/review"
	"hulltally/models"
)

// hoursPage is where a month's paid time went, for those who see what a person
// earns. Each sum leads to the same page of its pieces alone, and a worker's to
// the bookings.
func (s *Server) hoursPage(v *Visit) error { return s.owned(v, hoursPage) }

// hourKeys are what time is picked by, in the order they are said.
var hourKeys = []string{"worker", "grade", "stage", "place", "kind", "indirect", "band"}

// paid is time by pay band with what it cost.
type paid struct {
	bands                 map[clock.Band]int64
	seconds, jobs         int64
	provisional           int64
	base, onCost, premium costing.Money
}

func (s *paid) add(p *clock.Piece) {
	if s.bands == nil {
		s.bands = map[clock.Band]int64{}
	}
	s.bands[p.Band] += p.Seconds
	s.seconds += p.Seconds
	if p.Job != "" {
		s.jobs += p.Seconds
	}
	if p.Provisional {
		s.provisional += p.Seconds
	}
	s.base += p.Base
	s.onCost += p.OnCost + p.PremiumOnCost
	s.premium += p.Premium
}

func (s *paid) cost() costing.Money { return s.base + s.onCost + s.premium }

func hoursPage(g *ground) (*ownedPage, error) {
	period := g.figures.Day.Period()
	if m := g.query.Get("month"); m != "" {
		var err error
		if period, err = costing.ParsePeriod(m); err != nil {
			return nil, models.Errorf(models.Invalid, "month: %v", err)
		}
	}
	from, to := period.First(), min(period.Next().First()-1, g.figures.Day)
	var pieces []clock.Piece
	err := g.tx.Pieces(g.figures, from, to, func(p *clock.Piece) error {
		if g.pickedPiece(p) {
			pieces = append(pieces, *p)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(pieces, func(a, b clock.Piece) int {
		return cmp.Or(cmp.Compare(a.Worker, b.Worker), cmp.Compare(a.Start, b.Start))
	})
	month := period.String()
	data := map[string]any{
		"AsOf": g.asOf(append([]string{"month"}, hourKeys...)...), "Month": month, "MonthName": review.MonthName(period) + " " + month[:4],
		"Picked": g.pickedHours(), "All": g.link("/hours", "month", month), "Report": "/reports/hours?period=" + month,
		"Workers": g.hoursTable("workers", "By worker", "worker", month, pieces, g.pieceWorker),
		"Grades":  g.hoursTable("grades", "By trade and grade", "grade", month, pieces, g.pieceGrade),
		"Stages":  g.hoursTable("stages", "By stage", "stage", month, pieces, g.pieceStage),
		"Places":  g.hoursTable("places", "Ashore and afloat, by the station that was clocked on at", "place", month, pieces, g.piecePlace),
		"Kinds":   g.hoursTable("kinds", "On jobs and indirect", "kind", month, pieces, pieceKind),
		"Why":     g.hoursTable("indirects", "What the indirect time went to", "indirect", month, indirectOnly(pieces), g.pieceIndirect),
		"Bands":   g.payBandsTable(month, pieces),
	}
	if len(g.pickedHours()) == 0 {
		if data["Ties"], err = g.payTies(from, to); err != nil {
			return nil, err
		}
	}
	if g.query.Get("worker") != "" {
		data["Pieces"] = g.piecesTable(pieces, true)
	}
	return &ownedPage{"hours.html", "Hours, " + review.MonthName(period) + " " + month[:4], data}, nil
}

// pickedPiece reports whether a piece is among those asked for.
func (g *ground) pickedPiece(p *clock.Piece) bool {
	for key, of := range map[string]func(*clock.Piece) (string, string){
		"worker": g.pieceWorker, "grade": g.pieceGrade, "stage": g.pieceStage, "place": g.piecePlace, "kind": pieceKind, "indirect": g.pieceIndirect,
		"band": func(p *clock.Piece) (string, string) { return string(p.Band), "" },
	} {
		if want := g.query.Get(key); want != "" {
			if is, _ := of(p); is != want {
				return false
			}
		}
	}
	return true
}

func (g *ground) pickedHours() []keep {
	var list []keep
	for _, key := range hourKeys {
		value := g.query.Get(key)
		switch {
		case value == "":
			continue
		case key == "worker":
			value = g.worker(value, true)
		case key == "stage":
			value = g.stageName(value)
		}
		list = append(list, keep{key, value})
	}
	return list
}

func (g *ground) pieceWorker(p *clock.Piece) (key, name string) {
	return p.Worker, g.worker(p.Worker, true)
}

func (g *ground) pieceGrade(p *clock.Piece) (key, name string) {
	if w := g.yard.Workers[p.Worker]; w != nil {
		return w.Grade, w.Grade
	}
	return "", ""
}

// noStage is where time belongs that no job has, and nowhere a place that no
// station says.
const (
	noStage = "none"
	nowhere = "not-said"
)

func (g *ground) pieceStage(p *clock.Piece) (key, name string) {
	if job := g.yard.Jobs[p.Job]; job != nil {
		return job.Stage, g.stageName(job.Stage)
	}
	return noStage, "no stage: indirect time"
}

func (g *ground) piecePlace(p *clock.Piece) (key, name string) {
	if s := g.yard.Stations[p.Station]; s != nil && s.Place != "" {
		return s.Place, s.Place
	}
	return nowhere, "not said: corrections"
}

func pieceKind(p *clock.Piece) (key, name string) {
	if p.Job != "" {
		return "jobs", "on jobs"
	}
	return "indirect", "indirect"
}

func (g *ground) pieceIndirect(p *clock.Piece) (key, name string) {
	if i := g.yard.Indirects[p.Indirect]; i != nil {
		return p.Indirect, i.Name
	}
	return p.Indirect, p.Indirect
}

func indirectOnly(pieces []clock.Piece) []clock.Piece {
	return slices.DeleteFunc(slices.Clone(pieces), func(p clock.Piece) bool { return p.Job != "" })
}

// toHours is this page with one more thing picked.
func (g *ground) toHours(month, key, value string) string {
	query := []string{"month", month}
	for _, k := range hourKeys {
		if v := g.query.Get(k); v != "" && k != key {
			query = append(query, k, v)
		}
	}
	return g.link("/hours", append(query, key, value)...)
}

// hoursTable adds time up by one of its sides.
func (g *ground) hoursTable(id, caption, side, month string, pieces []clock.Piece, of func(*clock.Piece) (key, name string)) *grid {
	sums, names := map[string]*paid{}, map[string]string{}
	var all paid
	for i := range pieces {
		key, name := of(&pieces[i])
		if sums[key] == nil {
			sums[key] = &paid{}
		}
		names[key] = name
		sums[key].add(&pieces[i])
		all.add(&pieces[i])
	}
	t := g.table(id, caption, col(side, "Of"), numCol("ordinary", "Ordinary, h"), numCol("overtime", "Overtime"), numCol("double", "Double"),
		numCol("seconds", "Paid time"), numCol("jobs", "On jobs"), numCol("indirect", "Indirect"), numCol("share", "On jobs of all"), numCol("provisional", "Nobody ended"),
		numCol("base", "Base, "+g.currency.Code), numCol("on_cost", "On-cost"), numCol("premium", "Premium"), numCol("cost", "Paid"))
	t.Empty = "No time was booked."
	row := func(head figure, s *paid) []figure {
		return []figure{
			head, hoursOf(s.bands[clock.Ordinary]), hoursOf(s.bands[clock.Overtime]), hoursOf(s.bands[clock.Double]), hoursOf(s.seconds),
			hoursOf(s.jobs), hoursOf(s.seconds - s.jobs), part(ratioOf(s.jobs, s.seconds)), hoursOf(s.provisional),
			g.cash(s.base), g.cash(s.onCost), g.cash(s.premium), g.cash(s.cost()),
		}
	}
	for _, key := range slices.Sorted(maps.Keys(sums)) {
		t.add(row(figure{Value: key, Text: names[key], Href: g.toHours(month, side, key)}, sums[key])...)
	}
	t.foot(row(words("Together"), &all)...)
	return t
}

// payBandsTable holds each pay band's paid time against what it was booked on.
func (g *ground) payBandsTable(month string, pieces []clock.Piece) *grid {
	return g.hoursTable("bands", "Paid time = on jobs + indirect, by pay band", "band", month, pieces,
		func(p *clock.Piece) (string, string) { return string(p.Band), string(p.Band) })
}

// payTies holds what payroll pays against what was charged for it, from the
// bookings on one side and from the postings on the other.
func (g *ground) payTies(from, to costing.Date) (*grid, error) {
	ties, err := g.tx.Ties(g.ctx, g.figures, from, to)
	if err != nil {
		return nil, err
	}
	t := g.table("reconciliation", "Payroll against the books", col("tie", "What"), numCol("paid", "By the bookings"), numCol("charged", "By the postings"), numCol("difference", "Difference"))
	for _, tie := range ties {
		show := g.cash
		if tie.Seconds {
			show = func(m costing.Money) figure { return hoursOf(int64(m)) }
		}
		if tie.Name == "paid time" || tie.Name == "paid cost" {
			row := t.add(words(tie.Name), show(costing.Money(tie.Left)), show(costing.Money(tie.Right)), show(costing.Money(tie.Left-tie.Right)))
			row.Cells[1].Note = g.currency.Code
			if tie.Seconds {
				row.Cells[1].Note = "h"
			}
			if tie.Left != tie.Right {
				row.Cells[3].Class = "loss"
			}
		}
	}
	return t, nil
}
