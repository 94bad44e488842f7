package sim

import "slices"

// signOffs states the progress of tasks that passed a quarter, and signs those
// that are done. Each needs a leader who is here.
func (f *floor) signOffs() {
	for _, h := range f.active {
		for _, i := range f.w.plans[h].tasks {
			t, st := f.w.tasks[i], &f.states[i]
			if st.signed || !t.before && !st.started || t.hulls[0] != h {
				continue
			}
			quarter := 4
			if !t.before {
				quarter = int(min(4, st.done*4/max(1, t.truth)))
			}
			if quarter <= st.quarter {
				continue
			}
			if quarter < 4 && f.d.perMille(f.rates().SilentProgress) {
				st.quarter = quarter
				continue
			}
			if leader := f.leaderHere(t.trade); leader >= 0 {
				st.quarter, st.signed = quarter, quarter == 4
				f.sign(i, leader, quarter)
			}
		}
	}
}

// leaderHere is a leader who is at work today, of the trade if there is one.
func (f *floor) leaderHere(t trade) int {
	found := -1
	for i := range f.people {
		if p := &f.people[i]; f.w.Workers[i].SignsOff && p.to > 0 {
			if p.trade == t {
				return i
			}
			if found < 0 {
				found = i
			}
		}
	}
	return found
}

// sign queues job, Done or Progress, badge. It begins without a badge, so it
// needs a context of its own: some wait, some scan Cancel first.
func (f *floor) sign(i, leader, quarter int) {
	p := &f.people[leader]
	card, job := f.w.cards.done, step{payload: f.card(i)}
	if quarter < 4 {
		card = f.w.cards.progress[quarter]
	}
	s := sentence{station: f.clock(p, i), fresh: true, at: f.at(p.to - f.d.between(900, 3600))}
	if f.w.tasks[i].before {
		s.at = f.at(p.from + f.d.between(1800, 5*3600))
	}
	if f.d.perMille(300) {
		s.fresh = false
		s.steps = append(s.steps, step{payload: f.w.cards.cancel})
	}
	if f.d.perMille(f.rates().NotALeader) {
		if k := slices.IndexFunc(f.w.Workers, func(w Worker) bool { return !w.SignsOff }); k >= 0 {
			s.steps = append(s.steps, job, step{payload: card}, step{payload: f.w.cards.workers[k+f.d.IntN(len(f.people)-k)]})
		}
	}
	s.steps = append(s.steps, job, step{payload: card}, step{payload: f.w.cards.workers[leader]})
	f.desk.queue(s)
}
