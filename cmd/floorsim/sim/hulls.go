package sim

import (
	"fmt"

	"hulltally/costing"
)

// contractRates are the exchange rates agreed in contracts, base per unit.
var contractRates = map[string]costing.Price{"EUR": million, "GBP": 1_155_000, "USD": 918_000}

const (
	baseCurrency = "EUR"
	zoneName     = "Europe/Lisbon"
)

// hullPlan is what the floor knows of a hull.
type hullPlan struct {
	fate     fate
	nth      int // of the pattern of seven
	release  costing.Date
	base     int64 // price in base currency
	estimate int64 // in base currency, without changes
	tasks    []int // in World.tasks
	signed   costing.Date
}

func (w *World) addHulls(d dice) {
	n, days := w.Config.hulls(), int(w.end-w.Config.Start)+1
	begun := 3 * w.Config.blocks()
	for i := range n {
		p := hullPlan{nth: i % len(fates), fate: fates[i%len(fates)], release: w.Config.Start}
		if i >= begun {
			// A batch of two starts on one day.
			at := i
			if p.nth == 5 {
				at--
			}
			p.fate.before = ""
			p.release += costing.Date((at - begun) * days * 105 / 100 / max(1, n))
		}
		lead := 40 + 15*p.nth
		if p.fate.before != "" {
			lead = 120 + 10*stageAt(p.fate.before)
		}
		p.signed = p.release - costing.Date(lead+d.IntN(20))
		due := p.release + costing.Date(150+p.fate.model.perMille/8-12*len(p.fate.before))
		w.plans = append(w.plans, p)
		w.Hulls = append(w.Hulls, Hull{Key: fmt.Sprintf("H%d", 201+i), Model: p.fate.model.name, Name: hullName(i), Signed: p.signed, Due: due})
	}
	for i := range w.plans {
		w.addHullTasks(d, i)
	}
	for i, t := range w.tasks {
		for _, h := range t.hulls {
			w.plans[h].tasks = append(w.plans[h].tasks, i)
		}
	}
	for i := range w.plans {
		w.setPrice(i)
	}
}

func (w *World) addHullTasks(d dice, h int) {
	p, hull := &w.plans[h], w.Hulls[h].Key
	inBatch := p.nth == 4 && h+1 < len(w.plans)
	taken := -1
	if p.fate.before != "" {
		taken = stageAt(p.fate.before)
	}
	number := map[string]int{}
	for _, pl := range plans {
		scale, hulls, s := p.fate.model.perMille, []int{h}, stageAt(pl.stage)
		if s <= taken {
			continue
		}
		number[pl.stage]++
		job := Job{Key: fmt.Sprintf("%s-%s-%d", hull, pl.stage, number[pl.stage]), Hull: hull, Stage: pl.stage, Part: pl.part, Purpose: costing.Build}
		if pl.part == "Hatches and small mouldings" {
			switch {
			case inBatch:
				job.Key, job.Hull, hulls, scale = "B"+hull[1:]+"-SHELL-1", "", []int{h, h + 1}, scale*19/10
				job.Shares = fmt.Sprintf("%s:1;%s:1", hull, w.Hulls[h+1].Key)
			case p.nth == 5:
				continue
			}
		}
		if pl.part == "Stringers and girders" {
			// Wetting out on the standing sides of a girder drips: more than the item's factor.
			f := costing.Share(140_000)
			job.WasteFactor = &f
		}
		drift := trouble{hours: p.fate.hours, resinWaste: p.fate.waste}
		if t, ok := troubles[pl.part]; ok && p.nth == 2 {
			drift = t
		}
		w.addTask(d, task{hulls: hulls}, job, pl, scale, drift)
	}
	if taken >= 0 {
		w.addTakenOver(d, h, taken)
	}
	w.addExtras(d, h)
}

// addTakenOver stands for the stages built before the simulation: one job a
// stage, with its cost taken over from the old books as one bought-in amount.
func (w *World) addTakenOver(d dice, h, last int) {
	p, hull := &w.plans[h], w.Hulls[h]
	words := "Built before " + w.Config.Start.String() + ", taken over"
	for s := 0; s <= last; s++ {
		stage := stagePlans[s].key
		var cost int64
		scratch := World{Config: w.Config, Hulls: w.Hulls, Grades: w.Grades, Overheads: w.Overheads}
		for _, pl := range plans {
			if pl.stage == stage {
				scratch.addTask(newDice(0, 0), task{hulls: []int{h}}, Job{Key: pl.part, Stage: stage, Purpose: costing.Build}, pl, p.fate.model.perMille, trouble{hours: 1000})
			}
		}
		for _, e := range scratch.Estimate {
			cost += scratch.lineCost(e, stage, p.signed)
		}
		cost = roundTo(cost, million)
		key := fmt.Sprintf("%s-%s-0", hull.Key, stage)
		w.Estimate = append(w.Estimate, EstimateLine{key, "", costing.BoughtIn, words, million, 0, costing.Price(cost), 0})
		w.tasks = append(w.tasks, &task{job: len(w.Jobs), hulls: []int{h}, stage: s, before: true})
		w.Jobs = append(w.Jobs, Job{Key: key, Hull: hull.Key, Stage: stage, Part: words, Purpose: costing.Build})
		w.Bought = append(w.Bought, Bought{
			Document: "OPEN-" + key, Date: w.Config.Start, Hull: hull.Key, Stage: stage,
			Description: words, Amount: cents(d.around(cost, p.fate.hours-15, p.fate.hours+15)),
		})
	}
}

// letters tell jobs outside the plan apart in their keys.
var letters = map[costing.Purpose]string{costing.ForOrder: "C", costing.Rework: "R", costing.Warranty: "W"}

func (w *World) addExtras(d dice, h int) {
	p, hull := &w.plans[h], w.Hulls[h].Key
	changes, nth := 0, 0
	for _, x := range extras {
		if x.fate != p.nth {
			continue
		}
		nth++
		job := Job{Hull: hull, Stage: x.stage, Part: x.words, Purpose: costing.Purpose(x.purpose)}
		if x.purpose == "rush" {
			job.Purpose, job.Rush = costing.ForOrder, true
		}
		t := task{hulls: []int{h}, from: p.release, opens: &need{x.after, x.perMille}}
		if x.status != "" {
			changes++
			c := Change{Key: fmt.Sprintf("%s-C%d", hull, changes), Hull: hull, Title: x.words, Price: x.price * million, Status: x.status}
			if x.status == "agreed" {
				on := p.release + costing.Date(8+d.IntN(45))
				c.Agreed, t.from = &on, on+1
				if on > w.end {
					c.Agreed, c.Status, t.from = nil, "quoted", w.end+1
				}
			}
			w.Changes = append(w.Changes, c)
			job.Change = c.Key
		}
		if x.hours == 0 {
			continue // asked for, never built
		}
		job.Key = fmt.Sprintf("%s-%s-%s%d", hull, x.stage, letters[job.Purpose], nth)
		w.addTask(d, t, job, plan{x.stage, x.words, x.hours, x.trade, 3, x.materials, x.parts}, 1000, trouble{hours: 1040})
	}
}

// setPrice prices the hull: estimate over one minus the margin aimed at.
func (w *World) setPrice(h int) {
	p, hull := &w.plans[h], &w.Hulls[h]
	var estimate int64
	jobs := map[string]task{}
	for _, i := range p.tasks {
		jobs[w.Jobs[w.tasks[i].job].Key] = *w.tasks[i]
	}
	for _, e := range w.Estimate {
		if t, ok := jobs[e.Job]; ok && e.Change == "" {
			estimate += w.lineCost(e, stagePlans[t.stage].key, p.signed) / int64(len(t.hulls))
		}
	}
	hull.PriceCurrency, hull.PriceRate = p.fate.priced, contractRates[p.fate.priced]
	price := mulDiv(estimate, 1000, int64(1000-p.fate.target))
	hull.Price = roundTo(mulDiv(price, million, int64(hull.PriceRate)), 500*million)
	p.base = mulDiv(hull.Price, int64(hull.PriceRate), million)
	p.estimate = estimate
}
