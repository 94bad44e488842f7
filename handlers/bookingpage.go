package handlers

import (
	"net/url"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/review"
	"hulltally/models"
)

// bookingPage is one entry: the booking it opened or the stock it moved, what
// that cost, and the raw reads it came from. What a person earns is for some
// roles only, so to the others nobody is named.
func (s *Server) bookingPage(v *Visit) error { return s.owned(v, bookingPage) }

func bookingPage(g *ground) (*ownedPage, error) {
	story, err := g.tx.EntryStory(g.ctx, g.figures, g.visit.Param("entry"))
	if err != nil {
		return nil, err
	}
	e := story.Entry
	named := payroll.allow(g.visit.Caller.Role)
	if e.Correction && !named {
		return nil, errMayNot
	}
	return &ownedPage{"booking.html", entryTitle(e), map[string]any{
		"AsOf": g.asOf(), "Board": g.link("/board"), "Title": entryTitle(e), "Facts": g.entryFacts(e, named),
		"Pieces": g.piecesTable(story.Pieces, named), "Opens": e.Kind == clock.ClockOn,
		"Reads": g.readsTable(story, named), "Correction": e.Correction, "Who": e.Who, "Why": e.Why, "Named": named,
		"Taken": e.VoidedBy != "",
	}}, nil
}

var entryTitles = map[clock.EntryKind]string{
	clock.ClockOn: "A booking", clock.ClockOff: "A clock-off", clock.Issue: "An issue", clock.Returned: "A return",
	clock.Wasted: "Waste weighed", clock.Scrapped: "Stock scrapped", clock.SignOff: "Progress stated",
}

func entryTitle(e *models.EntryOf) string {
	if t, ok := entryTitles[e.Kind]; ok {
		return t
	}
	return "An entry"
}

// fact is a line about an entry.
type fact struct {
	Name string
	Is   figure
}

func (g *ground) entryFacts(e *models.EntryOf, named bool) []fact {
	facts := []fact{{"When", figure{Value: e.At.String(), Text: g.moment(e.At)}}}
	add := func(name string, f figure) {
		if f.Text != "" {
			facts = append(facts, fact{name, f})
		}
	}
	add("Station", words(e.Station))
	if named {
		add("Who", words(g.worker(e.Worker, named)))
	}
	add("Crew", words(e.Crew))
	if j := g.yard.Jobs[e.Job]; j != nil {
		add("Job", figure{Value: j.Key, Text: j.Key + " " + j.Part})
		for _, s := range j.Shares {
			add("Hull and stage", figure{Text: s.Hull + ", " + g.stageName(j.Stage), Href: g.toStage(s.Hull, j.Stage)})
		}
	}
	if i := g.yard.Indirects[e.Indirect]; i != nil {
		add("Indirect", words(i.Name))
	}
	if l := g.yard.Lots[e.Lot]; l != nil {
		add("Lot", figure{Value: e.Lot, Text: e.Lot, Href: g.toLot(e.Lot, e.ID)})
		add("Quantity as read", amountOf(e.Quantity, g.yard.Items[l.Item].StockUnit))
	}
	if e.Kind == clock.SignOff {
		add("Stated", percent(e.Percent))
	}
	return facts
}

// worker is what a worker is called, to those who may know.
func (g *ground) worker(key string, named bool) string {
	w := g.yard.Workers[key]
	switch {
	case w == nil:
		return key
	case !named:
		return w.Grade
	}
	return w.Name + ", " + w.Grade
}

// piecesTable lists pieces of bookings with what they cost the hulls.
func (g *ground) piecesTable(pieces []clock.Piece, named bool) *grid {
	t := g.table("pieces", "Time booked", col("worker", "Who"), col("from", "From"), col("until", "Until"), col("band", "Band"),
		col("job", "On"), numCol("seconds", "Time, h"))
	if named {
		t.Columns = append(t.Columns, numCol("base", "Base, "+g.currency.Code), numCol("on_cost", "On-cost"), numCol("premium", "Premium"))
	}
	t.Columns = append(t.Columns, numCol("overhead", "Overhead"), col("note", "Note"))
	t.Empty = "No time came of it."
	var seconds int64
	var base, onCost, premium, overhead costing.Money
	for i := range pieces {
		p := &pieces[i]
		who := figure{Value: p.Worker, Text: g.worker(p.Worker, named)}
		if named {
			who.Href = g.link("/worker/" + url.PathEscape(p.Worker) + "/week/" + p.Date.Week())
		} else {
			who.Value = who.Text
		}
		on := p.Job
		if i := g.yard.Indirects[p.Indirect]; p.Job == "" && i != nil {
			on = i.Name
		}
		cells := []figure{who, words(g.moment(costing.Instant(p.Start * 1000))), g.until(p), words(string(p.Band)), words(on), hoursOf(p.Seconds)}
		if named {
			cells = append(cells, g.cash(p.Base), g.cash(p.OnCost+p.PremiumOnCost), g.cash(p.Premium))
		}
		t.add(append(cells, g.cash(p.Overhead), words(pieceNote(p)))...)
		seconds += p.Seconds
		base += p.Base
		onCost += p.OnCost + p.PremiumOnCost
		premium += p.Premium
		overhead += p.Overhead
	}
	cells := []figure{words("Together"), {}, {}, {}, {}, hoursOf(seconds)}
	if named {
		cells = append(cells, g.cash(base), g.cash(onCost), g.cash(premium))
	}
	t.foot(append(cells, g.cash(overhead), figure{})...)
	return t
}

// until is a piece's end; it leads to the entry that ended the booking.
func (g *ground) until(p *clock.Piece) figure {
	f := words(g.moment(costing.Instant((p.Start + p.Seconds) * 1000)))
	if p.Closed != "" {
		f.Href = g.link("/booking/" + url.PathEscape(p.Closed))
	}
	return f
}

func pieceNote(p *clock.Piece) string {
	switch {
	case p.NoRate:
		return "no rate of pay is known: costed at nothing"
	case p.Running:
		return "still running"
	case p.Provisional:
		return "nobody ended it: taken to the shift's end"
	}
	return ""
}

// readsTable lists the raw reads around an entry, the one that completed it marked.
func (g *ground) readsTable(story *models.EntryStory, named bool) *grid {
	t := g.table("reads", "Raw reads of the station, two minutes either side", col("at", "Instant"), numCol("n", "No."), col("payload", "Read"),
		col("meant", "Meant"), col("outcome", "Became"), col("received", "Taken in"), col("id", "Read id"))
	t.Empty = "No read is behind it."
	for i := range story.Reads {
		r := &story.Reads[i]
		payload, meant := r.Payload, string(r.Meant.Kind)
		if r.Named != "" && r.Named != meant {
			meant += " " + r.Named
		}
		if r.Meant.Kind == clock.Worker && !named {
			payload, meant = "a badge", "a badge"
		}
		if r.Meant.Kind == clock.Unknown {
			meant = "not understood: " + r.Meant.Why
		}
		became := words(string(r.Outcome))
		if r.Made {
			became.Note = "completed this entry"
		}
		row := t.add(words(g.moment(r.At)), words(review.People(itoa(r.N))), words(payload), words(meant), became, words(g.moment(r.Received)), words(r.ID))
		row.Cells[0].Value, row.Cells[1].Value, row.Cells[5].Value = r.At.String(), itoa(r.N), r.Received.String()
		if r.Made {
			row.Class = "this"
		}
	}
	return t
}
