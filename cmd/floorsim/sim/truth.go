package sim

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// Fact is one thing that really happened, whatever was scanned.
type Fact struct {
	Kind     string // work, draw, return, scrap
	Worker   string // of work
	Job      string // or indirect
	Lot      string // of material
	From, To costing.Instant
	Left     costing.Quantity // what left the lot; a return's is negative
	Net      costing.Quantity // what went into the part
	Waste    costing.Quantity // what became waste
	Scanned  bool             // of material: somebody scanned it
}

// recordWork turns the day's marks into facts, breaks taken out.
func (f *floor) recordWork() {
	for i := range f.people {
		p := &f.people[i]
		if p.to == 0 {
			continue
		}
		slices.SortStableFunc(p.marks, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
		pauseFrom, pauseTil := f.at(p.shift.breakFrom*60), f.at(p.shift.breakTil*60)
		for k := 0; k+1 < len(p.marks); k++ {
			m, until := p.marks[k], p.marks[k+1].at
			if m.target == offWork {
				continue
			}
			f.recordSpan(i, m.target, m.at, min(until, max(m.at, pauseFrom)))
			f.recordSpan(i, m.target, max(m.at, min(until, pauseTil)), until)
		}
	}
}

func (f *floor) recordSpan(i, target int, from, to costing.Instant) {
	if from < to {
		f.facts = append(f.facts, Fact{Kind: "work", Worker: f.w.Workers[i].Number, Job: f.key(target), From: from, To: to})
	}
}
