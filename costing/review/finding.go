package review

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Finding is one reason why a hull costs more than its estimate.
type Finding struct {
	Theme Theme
	Stage *costing.Stage // nil: over the whole hull
	Cost  costing.Money  // beyond the estimate, at completion
}

// Findings lists the reasons, the dearest first. Hours are taken with the
// overhead they carry and material quantity with material nobody planned,
// stage by stage; prices, pay rates and changes over the hull.
func (h *Hull) Findings() []Finding {
	var list []Finding
	add := func(t Theme, s *costing.Stage, cost costing.Money) {
		if cost > 0 {
			list = append(list, Finding{t, s, cost})
		}
	}
	for i := range h.Stages {
		s := &h.Stages[i]
		add(Hours, s.Stage, s.Final[Hours]+s.Final[Carried])
		add(Quantity, s.Stage, s.Final[Quantity]+s.Final[Unplanned])
		add(BoughtIn, s.Stage, s.Final[BoughtIn])
		add(Rework, s.Stage, s.Final[Rework])
		add(StillToDo, s.Stage, s.Final[StillToDo])
	}
	sum := h.Final()
	add(PayRate, nil, sum[PayRate])
	add(Price, nil, sum[Price])
	add(NotAgreed, nil, sum[NotAgreed])
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(b.Cost, a.Cost) })
	return list
}

// notable is the part of the estimate from which a finding is worth a sentence.
var notable = big.NewRat(1, 200)

// Notable reports whether a finding is at least half a per cent of the estimate.
func (h *Hull) Notable(f *Finding) bool {
	floor := new(big.Rat).Mul(notable, new(big.Rat).SetInt64(int64(h.Estimate)))
	return new(big.Rat).SetInt64(int64(f.Cost)).Cmp(floor) >= 0
}

// Worked is time worked on a job of a hull on one day.
type Worked struct {
	Job     string
	Day     costing.Date
	Seconds int64
}

// Overrun is time beyond what the work done allows.
type Overrun struct {
	Worked, Over int64 // seconds
	// Since is the Monday from which most of it came; nought where it has no
	// such beginning. SinceOver came from then on.
	Since     costing.Date
	SinceOver int64
	// Job is where at least half of it lies, JobOver how much; nil where there
	// are several jobs and none has so much.
	Job     *costing.Job
	JobOver int64
}

// Overrun compares the time worked on a stage with the time its progress
// allows. Most of it came after a Monday if at least three quarters did, and
// the latest such Monday is named, unless it is the first week of the work.
// Rework and changes not agreed are causes of their own and left out.
func (h *Hull) Overrun(b *Books, stage string, worked []Worked, statements []Statement) (Overrun, error) {
	var o Overrun
	byWeek, byJob := map[costing.Date]int64{}, map[string]int64{}
	for _, w := range worked {
		job := b.Yard.Jobs[w.Job]
		if job == nil || job.Stage != stage || job.Purpose.Apart() || notAgreed(b.Yard, job, b.Day) {
			continue
		}
		byWeek[w.Day.Monday()] += w.Seconds
		byJob[w.Job] += w.Seconds
		o.Worked += w.Seconds
	}
	standard := h.standardHours(b, stage)
	k := costing.HullStage{Hull: h.Hull.Key, Stage: stage}
	over := func(seconds int64, stated estimate.Progress) (int64, error) {
		allowed := new(big.Rat).Mul(standard, b.Plan.Stage(k, stated))
		allowed.Mul(allowed, big.NewRat(3600, costing.Million)) // of millionths of an hour
		s, err := costing.RoundRat(allowed)
		return seconds - s, err
	}
	var err error
	if o.Over, err = over(o.Worked, b.Stated); err != nil || o.Over <= 0 {
		return o, err
	}
	if err := h.mostOver(b, byJob, &o); err != nil {
		return o, err
	}
	weeks := make([]costing.Date, 0, len(byWeek))
	for w := range byWeek {
		weeks = append(weeks, w)
	}
	slices.Sort(weeks)
	before := o.Worked
	for i := len(weeks) - 1; i > 0; i-- { // the first week begins it all
		before -= byWeek[weeks[i]]
		was, err := over(before, StatedBy(statements, weeks[i].At(0, b.Yard.Zone)))
		if err != nil {
			return o, err
		}
		if since := o.Over - was; since*4 >= o.Over*3 && was >= 0 {
			o.Since, o.SinceOver = weeks[i], since
			break
		}
	}
	return o, nil
}

// mostOver finds the job with most of an overrun: time beyond its own estimate
// times what it has stated, by the hull's share of it.
func (h *Hull) mostOver(b *Books, byJob map[string]int64, o *Overrun) error {
	if len(byJob) < 2 {
		return nil
	}
	standard := map[string]*big.Rat{} // seconds
	for _, l := range b.linesOf(h.Hull.Key) {
		if _, worked := byJob[l.Job]; !worked || l.Element != costing.Labour {
			continue
		}
		var mine, all int64
		for _, s := range b.Yard.Jobs[l.Job].Shares {
			all += s.Weight
			if s.Hull == h.Hull.Key {
				mine += s.Weight
			}
		}
		part := new(big.Rat).Mul(big.NewRat(int64(l.Quantity), costing.Million), big.NewRat(3600*mine, all))
		if standard[l.Job] == nil {
			standard[l.Job] = new(big.Rat)
		}
		standard[l.Job].Add(standard[l.Job], part)
	}
	for _, key := range slices.Sorted(maps.Keys(byJob)) {
		allowed := int64(0)
		if r := standard[key]; r != nil {
			var err error
			if allowed, err = costing.RoundRat(new(big.Rat).Mul(r, big.NewRat(int64(b.Stated[key]), 100))); err != nil {
				return err
			}
		}
		if over := byJob[key] - allowed; over*2 >= o.Over && over > o.JobOver && over <= o.Over {
			o.Job, o.JobOver = b.Yard.Jobs[key], over
		}
	}
	return nil
}

// standardHours is the stage's estimated time without rework and warranty, in
// millionths of an hour.
func (h *Hull) standardHours(b *Books, stage string) *big.Rat {
	yard := *b.Yard
	yard.Estimate = nil
	for _, l := range b.linesOf(h.Hull.Key) {
		if job := b.Yard.Jobs[l.Job]; job.Stage == stage && !job.Purpose.Apart() {
			yard.Estimate = append(yard.Estimate, l)
		}
	}
	return estimate.Build(&yard, b.Day).Hours(costing.HullStage{Hull: h.Hull.Key, Stage: stage})
}
