package models

import (
	"cmp"
	"slices"

	"hulltally/costing"
	"hulltally/labels"
)

func (p *printing) jobs(s *labels.Sheet) error {
	cards, err := p.jobCards()
	s.Jobs = cards
	return err
}

func (p *printing) stage(s *labels.Sheet) error {
	hull, stage := p.snap.Yard.Hulls[p.Hull], p.snap.Yard.Stages[p.Stage]
	if hull == nil || stage == nil {
		return Errorf(NotFound, "a stage's set needs a hull and a stage of the yard: %.40q and %.40q are not both known", p.Hull, p.Stage)
	}
	s.Stage = labels.StageSet{Hull: hull.Key, Model: hull.Model, Stage: stage.Name}
	var err error
	s.Stage.Jobs, err = p.jobCards()
	return err
}

func (p *printing) jobCards() ([]labels.JobCard, error) {
	y := p.snap.Yard
	cautions := map[string][]string{}
	rows, err := cautionsFile.all(p.tx.DB.Statement.Context, p.tx)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		cautions[r.Stage] = append(cautions[r.Stage], r.Caution)
	}
	lines := p.lines()
	var cards []labels.JobCard
	for _, key := range sorted(y.Jobs) {
		job := y.Jobs[key]
		if !p.ofHull(job) || p.Stage != "" && job.Stage != p.Stage || !p.takes(key, job.Part) {
			continue
		}
		c := labels.JobCard{
			Job: key, Part: job.Part, Rush: job.Rush, Stage: y.Stages[job.Stage].Name, Cautions: cautions[job.Stage],
		}
		var ok bool
		if c.Payload, c.Reprint, ok = p.code("job", key); !ok {
			continue
		}
		if job.Purpose != costing.Build {
			c.Purpose = string(job.Purpose)
		}
		for i, share := range job.Shares {
			if i > 0 {
				c.Hull += ", "
			}
			c.Hull += share.Hull
			if h := y.Hulls[share.Hull]; h != nil {
				c.Model = h.Model
			} else if t := y.Tools[share.Hull]; t != nil {
				c.Model = t.Name
			}
		}
		c.Hours, c.Materials = p.planned(lines[key])
		cards = append(cards, c)
	}
	return cards, nil
}

func (p *printing) ofHull(job *costing.Job) bool {
	return p.Hull == "" || slices.ContainsFunc(job.Shares, func(s costing.ShareOf) bool { return s.Hull == p.Hull })
}

// lines are the estimate lines that count today, by job.
func (p *printing) lines() map[string][]*costing.EstimateLine {
	y := p.snap.Yard
	today := costing.DateOf(p.Now, y.Zone)
	lines := map[string][]*costing.EstimateLine{}
	for i := range y.Estimate {
		l := &y.Estimate[i]
		if c := y.Changes[l.Change]; l.Change == "" || c != nil && c.Counts(today) {
			lines[l.Job] = append(lines[l.Job], l)
		}
	}
	return lines
}

// planned adds a job's lines up by grade and by item.
func (p *printing) planned(lines []*costing.EstimateLine) (hours, materials []labels.Planned) {
	sums := map[string]costing.Quantity{}
	for _, l := range lines {
		sums[string(l.Element)+"\x00"+l.Key] += l.Quantity
	}
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b *costing.EstimateLine) int { return cmp.Compare(a.Key, b.Key) })
	for _, l := range lines {
		key := string(l.Element) + "\x00" + l.Key
		sum, left := sums[key]
		if !left {
			continue
		}
		delete(sums, key)
		switch l.Element {
		case costing.Labour:
			hours = append(hours, labels.Planned{What: l.Key, Amount: sum.String(), Unit: "h"})
		case costing.Material:
			if it := p.snap.Yard.Items[l.Key]; it != nil {
				materials = append(materials, labels.Planned{What: it.Name, Amount: sum.String(), Unit: unitWord(it.StockUnit)})
			}
		}
	}
	return hours, materials
}

// unitWord is how a unit is written for people.
func unitWord(u costing.Unit) string {
	switch u {
	case costing.Kilogram:
		return "kg"
	case costing.SquareMetre:
		return "m²"
	case costing.Metre:
		return "m"
	case costing.Litre:
		return "l"
	case costing.Hour:
		return "h"
	}
	return "pcs"
}

func (p *printing) lots(s *labels.Sheet) error {
	y := p.snap.Yard
	hazards := map[string]*labels.Hazard{}
	rows, err := hazardsFile.all(p.tx.DB.Statement.Context, p.tx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		h := hazards[r.Item]
		if h == nil {
			h = &labels.Hazard{}
			hazards[r.Item] = h
		}
		if r.Signal != "" {
			h.Signal = r.Signal
		}
		h.Statements = append(h.Statements, r.Statement)
	}
	for _, key := range sorted(y.Lots) {
		lot := y.Lots[key]
		it := y.Items[lot.Item]
		if !p.takes(key, it.Name, it.Key, lot.SupplierBatch) {
			continue
		}
		l := labels.LotLabel{
			Item: it.Key, Name: it.Name, Lot: key, Batch: lot.SupplierBatch, Quantity: lot.Quantity.String(),
			Unit: unitWord(it.StockUnit), Received: costing.DateOf(lot.Received, y.Zone).String(), Hazard: hazards[it.Key],
		}
		if lot.Expires != nil {
			l.Expires = lot.Expires.String()
		}
		var ok bool
		if l.Payload, l.Reprint, ok = p.code("lot", key); ok {
			s.Lots = append(s.Lots, l)
		}
	}
	return nil
}
