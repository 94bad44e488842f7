package models

import "hulltally/labels"

func (p *printing) badges(s *labels.Sheet) {
	y := p.snap.Yard
	for _, key := range sorted(y.Workers) {
		w := y.Workers[key]
		if !p.takes(key, w.Name) {
			continue
		}
		b := labels.Badge{Name: w.Name, Trade: w.Grade, Number: w.Key, Yard: y.Name}
		var ok bool
		if b.Payload, b.Reprint, ok = p.code("worker", key); !ok {
			continue
		}
		if c := y.Crews[w.Crew]; c != nil {
			b.Crew = c.Name
		}
		if p.Photos != nil {
			b.Photo = p.Photos(key)
		}
		s.Badges = append(s.Badges, b)
	}
}

func (p *printing) crews(s *labels.Sheet) {
	y := p.snap.Yard
	for _, key := range sorted(y.Crews) {
		if !p.takes(key, y.Crews[key].Name) {
			continue
		}
		c := labels.CrewCard{Name: y.Crews[key].Name, Yard: y.Name}
		var ok bool
		if c.Payload, c.Reprint, ok = p.code("crew", key); !ok {
			continue
		}
		for _, m := range y.Crews[key].Members {
			c.Members = append(c.Members, y.Workers[m].Name)
		}
		s.Crews = append(s.Crews, c)
	}
}

func (p *printing) indirects(s *labels.Sheet) {
	for _, key := range sorted(p.snap.Yard.Indirects) {
		c := labels.IndirectCard{Key: key, Name: p.snap.Yard.Indirects[key].Name}
		if !p.takes(key, c.Name) {
			continue
		}
		var ok bool
		if c.Payload, c.Reprint, ok = p.code("indirect", key); ok {
			s.Indirects = append(s.Indirects, c)
		}
	}
}

// wall takes all the cards of the wall, whatever is asked for.
func (p *printing) wall(s *labels.Sheet) {
	p.wanted = nil
	for _, w := range wallCards {
		c := labels.WallCard{Action: labels.Action(w.kind), Key: w.key}
		var ok bool
		if c.Payload, _, ok = p.code(w.kind, w.key); ok {
			s.Wall = append(s.Wall, c)
		}
	}
}
