package sim

import "slices"

// openTasks lists the work that may be done today, the earlier hull first.
func (f *floor) openTasks() {
	for f.next < len(f.w.plans) && f.w.plans[f.next].release <= f.day {
		f.active = append(f.active, f.next)
		f.reached[f.next] = make([]int64, len(stagePlans))
		f.next++
	}
	f.open, f.opened = map[trade][]int{}, f.opened[:0]
	f.active = slices.DeleteFunc(f.active, f.finished)
	seen := map[int]bool{} // a batch's job hangs on several hulls
	for _, h := range f.active {
		f.measure(h)
		for _, i := range f.w.plans[h].tasks {
			if seen[i] || !f.mayStart(h, i) {
				continue
			}
			seen[i] = true
			f.states[i].hands = 0
			f.open[f.w.tasks[i].trade] = append(f.open[f.w.tasks[i].trade], i)
			f.opened = append(f.opened, i)
		}
	}
}

func (f *floor) finished(h int) bool {
	for _, i := range f.w.plans[h].tasks {
		if !f.states[i].signed {
			return false
		}
	}
	return true
}

// measure says how far a hull's stages are, by the hours really needed.
func (f *floor) measure(h int) {
	var done, all [32]int64
	for _, i := range f.w.plans[h].tasks {
		t := f.w.tasks[i]
		if t.opens == nil {
			done[t.stage] += min(f.states[i].done, t.truth)
			all[t.stage] += t.truth
		}
	}
	for s := range stagePlans {
		f.reached[h][s] = 1000
		if all[s] > 0 {
			f.reached[h][s] = done[s] * 1000 / all[s]
		}
	}
	f.billStages(h)
}

func (f *floor) mayStart(h, i int) bool {
	t := f.w.tasks[i]
	if t.before || f.states[i].done >= t.truth || f.day < t.from {
		return false
	}
	if t.opens != nil {
		return t.opens.stage == "" || f.reached[h][stageAt(t.opens.stage)] >= t.opens.perMille
	}
	for _, n := range stagePlans[t.stage].needs {
		if f.reached[h][stageAt(n.stage)] < n.perMille {
			return false
		}
	}
	return true
}

// pick finds work for a person: what he was on, his trade's, a trade's that he
// can help, anything, or none.
func (f *floor) pick(p *person, not int) (task int, ok bool) {
	free := func(i int) bool {
		return i != not && f.states[i].hands < f.w.tasks[i].hands && f.states[i].done < f.w.tasks[i].truth
	}
	if p.last >= 0 && free(p.last) && slices.Contains(f.open[f.w.tasks[p.last].trade], p.last) {
		return p.last, true
	}
	for _, tr := range helps[p.trade] {
		for _, i := range f.open[tr] {
			if free(i) {
				return i, true
			}
		}
	}
	for _, i := range f.opened {
		if free(i) {
			return i, true
		}
	}
	return 0, false
}
