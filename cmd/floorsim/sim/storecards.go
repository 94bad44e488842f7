package sim

import (
	"slices"

	"hulltally/costing"
)

// issueSentence begins a sentence of issues: at the stores under the
// storekeeper's or the worker's badge or none, or at the clock station of a
// worker who is on the job. The head is what has to be scanned again when the
// context was lost.
func (f *floor) issueSentence(i, who int, wet bool) (s sentence, head []step) {
	p, job := &f.people[who], step{payload: f.card(i)}
	begin := max(p.from, p.shift.hoursFrom()) + f.goods.between(900, 2*3600)
	own := step{payload: f.w.cards.workers[who]}
	if seg := p.longest(i); seg.to-seg.from > 3600 && f.goods.perMille(f.rates().IssueAtTheClock) {
		at := seg.from + f.goods.between(1200, seg.to-seg.from-600)
		own.who, own.target = nil, i
		s = sentence{station: f.clock(p, i), at: f.at(at), steps: []step{own, job}}
		return s, s.steps
	}
	at := 0
	if wet {
		at = 1
	}
	s = sentence{station: f.w.stores[2*(p.block%(len(f.w.stores)/2))+at], at: f.at(begin)}
	switch keeper := f.keeper(p.block); {
	case keeper >= 0 && p.shift.key == "DAY" && f.goods.perMille(600):
		s.steps = []step{{payload: f.w.cards.workers[keeper]}, job}
	case f.goods.perMille(500):
		s.steps = []step{own, job}
	default:
		s.fresh, s.steps = true, []step{job}
	}
	return s, s.steps
}

// issueSteps appends lot and quantity, with a slip now and then.
func (f *floor) issueSteps(s *sentence, head []step, is issue) {
	if is.unscanned {
		return
	}
	it := &catalogue[is.item]
	labelled := map[int]int64{}
	var order []int
	for _, p := range is.portions { // one label scanned for two pails is one line
		if !slices.Contains(order, p.label) {
			order = append(order, p.label)
		}
		labelled[p.label] += p.read
	}
	for _, l := range order {
		if labelled[l] <= 0 {
			continue // a scrape of a pail that no scale shows
		}
		lot := step{payload: f.store.lots[l].payload}
		quantity := step{payload: f.scanned(it, labelled[l]), slow: true}
		if len(s.steps) == len(head) && f.goods.perMille(f.rates().QuantityOnly) {
			s.steps = append(s.steps, step{payload: quantity.payload, slow: true})
		}
		s.steps = append(s.steps, lot)
		if f.goods.perMille(f.rates().Undo) {
			s.steps = append(s.steps, step{payload: f.scanned(it, labelled[l]*10), slow: true}, step{payload: f.w.cards.undo})
			for _, h := range head {
				s.steps = append(s.steps, step{payload: h.payload})
			}
			s.steps = append(s.steps, lot)
		}
		s.steps = append(s.steps, quantity)
	}
}

// afterwards scans what came back and what was thrown away, hours later.
func (f *floor) afterwards(i, who, station int, later []issue) {
	p := &f.people[who]
	if f.w.Stations[station].Kind == "clock" {
		station = f.w.stores[2*(p.block%(len(f.w.stores)/2))]
	}
	s := sentence{station: station, at: f.at(p.to - f.goods.between(900, 3000)), steps: []step{{payload: f.w.cards.workers[who]}, {payload: f.card(i)}}}
	mode := ""
	say := func(card string, lot int, it *stock, q int64) {
		if card != mode {
			s.steps, mode = append(s.steps, step{payload: card}), card
		}
		s.steps = append(s.steps, step{payload: f.store.lots[lot].payload}, step{payload: f.scanned(it, q), slow: true})
	}
	for _, is := range later {
		if is.returned > 0 {
			f.putBack(i, is)
			if !is.unscanned {
				say(f.w.cards.back, is.from, &catalogue[is.item], is.returned)
			}
		}
	}
	for _, is := range later {
		if is.wasted > 0 && !is.unscanned {
			say(f.w.cards.waste, is.from, &catalogue[is.item], is.wasted)
		}
	}
	if mode != "" {
		f.desk.queue(s)
	}
}

// putBack returns what was fetched too much to the shelf it came from.
func (f *floor) putBack(i int, is issue) {
	l := is.from
	if f.store.lots[l].left == 0 {
		f.store.open[is.item] = append([]int{l}, f.store.open[is.item]...)
	}
	f.move(l, -is.returned)
	f.facts = append(f.facts, Fact{Kind: "return", Job: f.key(i), Lot: f.lotRows[l].Key, From: f.at(noon), To: f.at(noon), Left: costing.Quantity(-is.returned), Scanned: !is.unscanned})
}

// keeper is a storekeeper of a block who is here today, or -1.
func (f *floor) keeper(block int) int {
	for i := range f.people {
		if p := &f.people[i]; p.trade == keeper && p.block == block && p.to > 0 {
			return i
		}
	}
	return -1
}

// hoursFrom is the shift's start in seconds of the day.
func (s *shiftPlan) hoursFrom() int { return s.start * 60 }

// longest is a person's longest segment on a target today.
func (p *person) longest(target int) (best segment) {
	for _, s := range p.segments {
		if s.target == target && s.to-s.from > best.to-best.from {
			best = s
		}
	}
	return best
}
