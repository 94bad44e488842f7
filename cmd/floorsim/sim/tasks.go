package sim

import (
	"fmt"

	"hulltally/costing"
)

// task is a job as the floor meets it: what it will really take.
type task struct {
	job      int   // in World.Jobs
	hulls    []int // in World.Hulls; several share a batch
	stage    int
	trade    trade
	hands    int
	estimate int64 // seconds; 0 for rework
	truth    int64 // seconds it will really take
	lines    []line
	parts    []purchase
	opens    *need        // for extras: when it opens
	from     costing.Date // and not before
	before   bool         // done before the simulation starts
}

// line is a material of a task.
type line struct {
	item     int // in catalogue
	net      int64
	waste    int64 // share of net that will really be wasted, millionths
	hardener bool  // drawn with the resin before it
}

// purchase is a part to be bought when a task starts.
type purchase struct {
	words    string
	amount   int64 // what it will really cost, base currency
	currency string
}

var itemIndex = func() map[string]int {
	m := map[string]int{}
	for i := range catalogue {
		m[catalogue[i].key] = i
	}
	return m
}()

// grading is how an estimate spreads hours over grades, in hundredths.
var grading = []struct {
	grade     string
	hundredth int64
}{{"helper", 15}, {"skilled", 40}, {"senior", 35}, {"leader", 10}}

// addTask adds a job, its estimate (unless it is rework) and what it will really take.
func (w *World) addTask(d dice, t task, job Job, p plan, scale int, drift trouble) {
	t.job, t.stage, t.trade, t.hands = len(w.Jobs), stageAt(job.Stage), p.trade, p.hands
	hours := roundTo(share(p.hours*million, scale), million)
	counts := job.Purpose == costing.Build || job.Purpose == costing.ForOrder
	t.truth = d.around(hours/million*3600, drift.hours-40, drift.hours+40)
	if counts {
		t.estimate = hours / million * 3600
		w.estimateLabour(job, hours, w.Hulls[t.hulls[0]].Signed)
	}
	for _, m := range p.materials {
		w.addMaterial(d, &t, job, m, scale, drift, counts)
	}
	for _, b := range p.parts {
		amount := roundTo(share(b.amount*million, scale), 10*million)
		if counts {
			w.Estimate = append(w.Estimate, EstimateLine{job.Key, job.Change, costing.BoughtIn, b.words, million, 0, costing.Price(amount), 0})
		}
		t.parts = append(t.parts, purchase{b.words, cents(d.around(amount, 975, 1030)), b.currency})
	}
	job.Process = laminated[job.Part]
	w.Jobs, w.tasks = append(w.Jobs, job), append(w.tasks, &t)
}

func (w *World) estimateLabour(job Job, hours int64, signed costing.Date) {
	left := hours
	for i, g := range grading {
		h := roundTo(hours*g.hundredth/100, million/2)
		if i == len(grading)-1 {
			h = left
		}
		left -= h
		if h > 0 {
			w.Estimate = append(w.Estimate, EstimateLine{job.Key, job.Change, costing.Labour, g.grade, costing.Quantity(h), 0, rateOn(w.Grades, g.grade, signed), 0})
		}
	}
}

// addMaterial adds a material, and a resin's hardener after it.
func (w *World) addMaterial(d dice, t *task, job Job, m mat, scale int, drift trouble, counts bool) {
	i := itemIndex[m.item]
	it := &catalogue[i]
	step := int64(million / 10)
	if it.unit == each {
		step = million
	}
	net := max(step, roundTo(share(m.net*million, scale), step))
	waste := int64(m.waste) * million / 1000
	wasted := d.around(waste, 850, 1120)
	if m.item == "RES-INF" && drift.resinWaste > 0 {
		wasted = share(waste, drift.resinWaste)
	}
	take := d.around(net, 975, 1030)
	if drift.hours > 1500 && it.role == "consumable" {
		take = share(take, drift.hours)
	}
	if it.unit == each {
		take = roundTo(take, million)
	}
	add := func(i int, net, take int64, hardener bool) {
		if counts {
			w.Estimate = append(w.Estimate, EstimateLine{job.Key, job.Change, costing.Material, catalogue[i].key, costing.Quantity(net), costing.Share(waste), costing.Price(catalogue[i].price * million / 100), plies[job.Part][catalogue[i].key]})
		}
		t.lines = append(t.lines, line{i, take, wasted, hardener})
	}
	add(i, net, take, false)
	if it.hardener != "" {
		add(itemIndex[it.hardener], roundTo(net*it.parts/100, million/100), roundTo(take*it.parts/100, million/1000), true)
	}
}

// rateOn is the dated rate of a grade or stage on a day.
func rateOn(rates []Rate, of string, day costing.Date) costing.Price {
	var p costing.Price
	for _, r := range rates {
		if r.Of == of && r.From <= day {
			p = r.Rate
		}
	}
	if p == 0 {
		panic(fmt.Sprintf("sim: no rate of %s on %s", of, day))
	}
	return p
}

// lineCost is what an estimate line stands for in base currency, overhead included.
func (w *World) lineCost(e EstimateLine, stage string, signed costing.Date) int64 {
	v := mulDiv(int64(e.Quantity), int64(e.Rate), million)
	v += mulDiv(v, int64(e.Waste), million)
	if e.Element == costing.Labour {
		v += mulDiv(int64(e.Quantity), int64(rateOn(w.Overheads, stage, signed)), million)
	}
	return v
}
