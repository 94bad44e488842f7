package sim

// attend decides who is here today, from when to when and on what.
func (f *floor) attend() {
	for i := range f.people {
		p := &f.people[i]
		p.to, p.segments, p.marks = 0, p.segments[:0], p.marks[:0]
		if f.presence(p) {
			f.planDay(p)
		}
	}
}

// presence draws a person's hours of today.
func (f *floor) presence(p *person) bool {
	r, weekday := f.rates(), f.day.Weekday()
	hours, works := p.shift.hours(weekday)
	if f.w.holiday[f.day] || !works {
		chance := r.Sunday
		if weekday == 6 && !f.w.holiday[f.day] {
			chance = r.Saturday
		}
		if p.trade == keeper || !f.d.perMille(chance) {
			return false
		}
		// Extra days are mornings, whatever the shift.
		p.from, p.to = 7*3600-f.d.between(0, 300), 12*3600-f.d.between(0, 600)
		return true
	}
	if f.d.perMille(r.Absent) {
		return false
	}
	p.from, p.to = hours.Start*60-f.d.between(20, 540), hours.End*60+f.d.between(10, 300)
	if f.d.perMille(r.Late) {
		p.from = hours.Start*60 + f.d.between(1200, 3600)
	}
	if weekday < 5 && p.shift.key == "DAY" && p.trade != keeper && f.d.perMille(r.Overtime) {
		p.to += f.d.between(2, 8) * 900
	}
	return true
}

// planDay fills a person's day with work.
func (f *floor) planDay(p *person) {
	if p.trade == keeper {
		p.segments = append(p.segments, segment{from: p.from, to: p.to, target: storework})
		return
	}
	end := p.to
	if f.d.perMille(90) {
		end -= f.d.between(15, 30) * 60
	}
	at := p.from
	if f.d.perMille(45) { // the material is not there
		from := at + f.d.between(60, 150)*60
		f.busy(p, at, from)
		at = from + f.d.between(20, 55)*60
		p.segments = append(p.segments, segment{from: from, to: at, target: waiting})
	}
	midday := p.shift.breakTil * 60
	switch {
	case f.d.perMille(6) && midday < end-3*3600:
		f.busy(p, at, midday)
		p.segments = append(p.segments, segment{from: midday, to: midday + 2*3600, target: training})
		at = midday + 2*3600
	case f.d.perMille(f.rates().SecondJob) && at < midday && midday < end-3600:
		at = f.busy(p, at, midday+f.d.between(0, 240))
		if i, ok := f.pick(p, p.last); ok && p.last >= 0 {
			p.last = i
		}
	}
	f.busy(p, at, end)
	if end < p.to {
		p.segments = append(p.segments, segment{from: end, to: p.to, target: cleaning})
	}
}

// busy puts a person on tasks from one second to another; a task that runs out
// gives way to the next.
func (f *floor) busy(p *person, from, to int) int {
	taken := offWork
	for from < to {
		i, ok := f.pick(p, taken)
		if !ok {
			target := []int{cleaning, upkeep, waiting}[f.d.IntN(3)]
			p.segments = append(p.segments, segment{from: from, to: to, target: target})
			return to
		}
		until, left := to, f.w.tasks[i].truth-f.states[i].done
		if int(left) < to-from-2400 {
			until = from + max(900, int(left))
		}
		f.states[i].hands++
		f.states[i].started = true
		f.states[i].done += int64(until - from - overlap(from, until, p.shift))
		if n := len(p.segments); n > 0 && p.segments[n-1].target == i && p.segments[n-1].to == from {
			p.segments[n-1].to = until
		} else {
			p.segments = append(p.segments, segment{from: from, to: until, target: i})
		}
		p.last, taken, from = i, i, until
	}
	return to
}

// overlap is how many seconds of a stretch fall into the shift's break.
func overlap(from, to int, s *shiftPlan) int {
	return max(0, min(to, s.breakTil*60)-max(from, s.breakFrom*60))
}
