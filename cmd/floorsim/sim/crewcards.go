package sim

import "slices"

// crewCards plans the Monday meetings and the evenings on which a crew is
// clocked off with one card.
func (f *floor) crewCards() {
	for c := range f.members {
		here := slices.DeleteFunc(slices.Clone(f.members[c]), func(i int) bool { return f.people[i].to == 0 })
		hours, works := shiftOf(f.w.Workers[f.members[c][0]].Shift).hours(f.day.Weekday())
		if !works || f.w.holiday[f.day] || len(here) < 3 {
			continue
		}
		if f.day.Weekday() == 1 {
			f.meet(c, here, hours.Start*60+2400)
		}
		last := hours.End*60 + 300
		together := !slices.ContainsFunc(here, func(i int) bool { return f.people[i].to > last })
		if together && f.d.perMille(550) {
			f.leaveTogether(c, here, last)
		}
	}
}

// meet sends everybody who has arrived to a meeting of 25 minutes, by crew
// card. If most go back to one job the crew card is scanned for that too, and
// the others scan their own cards after it.
func (f *floor) meet(c int, here []int, at int) {
	until := at + 1500
	there := slices.DeleteFunc(slices.Clone(here), func(i int) bool { p := &f.people[i]; return p.from > at-600 || !interrupt(p, at, until) })
	if len(there) < 3 {
		return
	}
	f.crewScan(c, there, at, meeting)
	job, most := 0, 0
	for _, i := range there {
		t := f.people[i].after(until).target
		n := 0
		for _, j := range there {
			if f.people[j].after(until).target == t {
				n++
			}
		}
		if n > most {
			job, most = t, n
		}
	}
	if job < 0 || most < 3 || most*10 < len(there)*6 {
		return
	}
	var back []int
	for _, i := range there {
		if s := f.people[i].after(until); s.target == job {
			s.byCrew = true
			back = append(back, i)
		} else {
			f.people[i].shiftStart(s, f.d.between(120, 300))
		}
	}
	f.crewScan(c, back, until, job)
}

// interrupt cuts a meeting out of the one segment it falls in; where it would
// fall across a change of work the person stays away.
func interrupt(p *person, from, to int) bool {
	for k, s := range p.segments {
		if s.from <= from-600 && s.to >= to+900 {
			p.segments = slices.Replace(p.segments, k, k+1,
				segment{from: s.from, to: from, target: s.target, byCrew: s.byCrew},
				segment{from: from, to: to, target: meeting, byCrew: true}, segment{from: to, to: s.to, target: s.target})
			return true
		}
	}
	return false
}

// after is the segment that begins at a second.
func (p *person) after(second int) *segment {
	for k := range p.segments {
		if p.segments[k].from == second {
			return &p.segments[k]
		}
	}
	return &segment{target: offWork}
}

// shiftStart lets a segment begin later and the one before it end later.
func (p *person) shiftStart(s *segment, by int) {
	for k := range p.segments {
		if p.segments[k].to == s.from {
			p.segments[k].to += by
		}
	}
	s.from += by
}

func (f *floor) leaveTogether(c int, here []int, at int) {
	for _, i := range here {
		p := &f.people[i]
		n := len(p.segments) - 1
		p.to, p.segments[n].to = at, at
		p.segments = append(p.segments, segment{from: at, to: at, target: offWork, byCrew: true})
	}
	f.crewScan(c, here, at, offWork)
}

// crewScan queues the crew card and marks its members.
func (f *floor) crewScan(c int, who []int, at, target int) {
	station := f.clock(&f.people[who[0]], target)
	f.desk.queue(sentence{station: station, at: f.at(at), steps: []step{
		{payload: f.w.cards.crews[c]}, {payload: f.card(target), who: who, target: target},
	}})
}
