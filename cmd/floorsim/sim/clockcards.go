package sim

import "hulltally/costing"

// homes is where a trade clocks on and off when its work does not say.
var homes = map[trade]hall{laminator: laminating, infuser: laminating, bonder: assembly, joiner: fitout, fairer: paintshop, painter: paintshop, fitter: fitout, keeper: assembly}

// clock is the station at which a person scans for a target.
func (f *floor) clock(p *person, target int) int {
	h := homes[p.trade]
	if target >= 0 {
		h = stagePlans[f.w.tasks[target].stage].hall
	}
	return f.w.clocks[h][p.block%len(f.w.clocks[h])]
}

// card is the payload that stands for a target.
func (f *floor) card(target int) string {
	switch {
	case target == offWork:
		return f.w.cards.off
	case target < 0:
		return f.w.cards.indirects[-target-1]
	}
	return f.w.cards.jobs[f.w.tasks[target].job]
}

// key names a target in corrections and in the truth.
func (f *floor) key(target int) string {
	switch {
	case target == offWork:
		return "off"
	case target < 0:
		return f.w.Indirects[-target-1].Key
	}
	return f.w.Jobs[f.w.tasks[target].job].Key
}

// clockCards turns everybody's day into scans, with the mishaps.
func (f *floor) clockCards() {
	r := f.rates()
	for i := range f.people {
		p := &f.people[i]
		if p.to == 0 {
			continue
		}
		left := false
		for k, s := range p.segments {
			left = s.target == offWork
			switch {
			case s.byCrew:
			case k == 0 && len(p.segments) > 1 && f.d.perMille(r.ForgottenOn), k == 0 && len(p.segments) == 1 && f.d.perMille(r.ForgottenOn/2):
				f.forget(i, s.from, s.target, r.OnCorrected, "forgot to clock on")
			default:
				f.clockOn(i, s.from, s.target)
			}
		}
		switch {
		case left:
		case f.d.perMille(r.ForgottenOff):
			f.forget(i, p.to, offWork, r.OffCorrected, "forgot to clock off")
		default:
			last := p.segments[len(p.segments)-1].target
			f.desk.queue(sentence{station: f.clock(p, last), at: f.at(p.to), steps: []step{
				{payload: f.w.cards.workers[i]}, {payload: f.w.cards.off, who: []int{i}, target: offWork},
			}})
		}
	}
}

// forget leaves a scan out; the leader may add it later, to the full minute.
func (f *floor) forget(i, second, target, corrected int, why string) {
	p := &f.people[i]
	p.marks = append(p.marks, mark{f.at(second), target})
	if f.d.perMille(corrected) {
		f.corrections = append(f.corrections, Correction{f.w.Workers[i].Number, f.at(second / 60 * 60), "add", f.key(target), f.leaderOf(i), why})
	}
}

// clockOn queues badge and card, perhaps after a slip.
func (f *floor) clockOn(i, second, target int) {
	r, p := f.rates(), &f.people[i]
	badge, right := step{payload: f.w.cards.workers[i]}, step{payload: f.card(target), who: []int{i}, target: target}
	s := sentence{station: f.clock(p, target), at: f.at(second)}
	wrong := f.otherTask(target)
	switch {
	case wrong >= 0 && f.d.perMille(r.WrongCard):
		s.steps = []step{badge, {payload: f.card(wrong)}, right}
	case wrong >= 0 && f.d.perMille(r.Undo):
		s.steps = []step{badge, {payload: f.card(wrong)}, {payload: f.w.cards.undo}, badge, right}
	case wrong >= 0 && f.d.perMille(r.WrongUnnoticed):
		right.payload = f.card(wrong)
		if f.d.perMille(r.WrongCorrected) {
			right.then = func(at costing.Instant) { f.putRight(i, at, target) }
		}
		s.steps = []step{badge, right}
	default:
		s.steps = []step{badge, right}
	}
	f.desk.queue(s)
}

// putRight is a leader's correction of a wrong card: the entry is voided and
// the right one added a second later.
func (f *floor) putRight(i int, at costing.Instant, target int) {
	number, who := f.w.Workers[i].Number, f.leaderOf(i)
	f.corrections = append(f.corrections, Correction{number, at, "void", "", who, "scanned the wrong card"},
		Correction{number, at + 1000, "add", f.key(target), who, "scanned the wrong card"})
}

// otherTask is some other open task, or -1.
func (f *floor) otherTask(not int) int {
	if len(f.opened) > 0 {
		if i := f.opened[f.d.IntN(len(f.opened))]; i != not {
			return i
		}
	}
	return -1
}

// leaderOf is the number of the leader of a person's crew.
func (f *floor) leaderOf(i int) string { return f.w.Workers[f.members[f.people[i].crew][0]].Number }
