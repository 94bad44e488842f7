package sim

import (
	"fmt"
	"time"

	"hulltally/costing"
)

// trade is what a worker does best.
type trade string

const (
	laminator trade = "laminator"
	infuser   trade = "infuser"
	bonder    trade = "bonder"
	joiner    trade = "joiner"
	fairer    trade = "fairer"
	painter   trade = "painter"
	fitter    trade = "fitter" // systems, electrics, outfitting
	keeper    trade = "keeper" // stores and goods-in
)

// helps lists which trades a worker falls back on when his own has no work.
var helps = map[trade][]trade{
	laminator: {laminator, infuser, bonder, joiner},
	infuser:   {infuser, laminator, bonder, joiner},
	bonder:    {bonder, laminator, joiner, infuser},
	joiner:    {joiner, bonder, fitter, laminator},
	fairer:    {fairer, painter, bonder},
	painter:   {painter, fairer},
	fitter:    {fitter, joiner, bonder},
}

// crewPlan is a crew of the pattern that repeats with every 42 people; the
// first of each signs off.
type crewPlan struct {
	name, shift string
	members     []trade
}

var crewPlans = []crewPlan{
	{"Laminating", "DAY", []trade{laminator, laminator, laminator, laminator, laminator, laminator, laminator}},
	{"Infusion and stores", "DAY", []trade{infuser, infuser, infuser, infuser, infuser, keeper, keeper}},
	{"Bonding and structure", "DAY", []trade{bonder, bonder, bonder, bonder, bonder, bonder}},
	{"Joinery", "DAY", []trade{joiner, joiner, joiner, joiner, joiner, joiner}},
	{"Fairing and paint", "EVE", []trade{fairer, fairer, fairer, fairer, fairer, painter, painter, painter}},
	{"Systems and outfitting", "DAY", []trade{fitter, fitter, fitter, fitter, fitter, fitter, fitter, fitter}},
}

// grades of pay. The standard rate holds on-costs and is set for each year.
var grades = []struct {
	key            string
	pay, standard  costing.Price
	spreadPerMille int
}{
	{"helper", 9_900_000, 12_400_000, 30},
	{"skilled", 13_100_000, 16_500_000, 35},
	{"senior", 15_800_000, 19_900_000, 30},
	{"leader", 18_600_000, 23_400_000, 25},
}

func (w *World) addPeople(d dice) {
	for i := range w.Config.People {
		crew, trade, leads := w.place(i)
		g := 1 + d.IntN(2)
		switch {
		case leads:
			g = 3
		case d.perMille(180):
			g = 0
		}
		plan := crewPlans[crew%len(crewPlans)]
		worker := Worker{
			Number: fmt.Sprintf("%04d", 101+i), Name: personName(i), Grade: grades[g].key,
			Crew: fmt.Sprintf("C%d", crew+1), Shift: plan.shift, SignsOff: leads, trade: trade,
		}
		w.Workers = append(w.Workers, worker)
		for crew >= len(w.Crews) {
			n := len(w.Crews)
			w.Crews = append(w.Crews, Named{fmt.Sprintf("C%d", n+1), crewPlans[n%len(crewPlans)].name})
		}
		s := grades[g].spreadPerMille
		w.addRates(worker.Number, roundTo(d.around(int64(grades[g].pay), 1000-s, 1000+s), 50_000))
	}
}

// place says where the i-th person stands in the pattern: the crew, the trade
// and whether he leads it. Leaders come first, so that a small yard has them.
func (w *World) place(i int) (crew int, t trade, leads bool) {
	block, slot := i/42*len(crewPlans), i%42
	if slot < len(crewPlans) {
		return block + slot, crewPlans[slot].members[0], true
	}
	slot -= len(crewPlans)
	for member := 1; ; member++ {
		for c, plan := range crewPlans {
			if member >= len(plan.members) {
				continue
			}
			if slot == 0 {
				return block + c, plan.members[len(plan.members)-member], false
			}
			slot--
		}
	}
}

// addRates gives a worker a rate and the yearly rise: 3 % on the first of the
// month two months after the start, and a year later again.
func (w *World) addRates(number string, pay int64) {
	start := dayTime(w.Config.Start)
	w.Rates = append(w.Rates, Rate{number, costing.NewDate(start.Year()-1, time.January, 1), costing.Price(pay)})
	for t := time.Date(start.Year(), start.Month()+2, 1, 0, 0, 0, 0, time.UTC); costing.NewDate(t.Year(), t.Month(), 1) <= w.end; t = t.AddDate(1, 0, 0) {
		pay = roundTo(share(pay, 1030), 10_000)
		w.Rates = append(w.Rates, Rate{number, costing.NewDate(t.Year(), t.Month(), 1), costing.Price(pay)})
	}
}

// addStandards sets the grades' and the stages' yearly standard rates, 3 % up a year.
func (w *World) addStandards() {
	first, last := dayTime(w.Config.Start).Year(), dayTime(w.end).Year()
	for _, g := range grades {
		w.addYearly(&w.Grades, g.key, int64(g.standard), first, last)
	}
	for _, s := range stagePlans {
		w.addYearly(&w.Overheads, s.key, s.absorption, first, last)
	}
}

func (w *World) addYearly(to *[]Rate, of string, rate int64, first, last int) {
	*to = append(*to, Rate{of, costing.NewDate(first-1, time.January, 1), costing.Price(roundTo(share(rate, 975), 50_000))})
	for y := first; y <= last; y++ {
		*to = append(*to, Rate{of, costing.NewDate(y, time.January, 1), costing.Price(rate)})
		rate = roundTo(share(rate, 1030), 50_000)
	}
}
