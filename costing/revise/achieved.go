package revise

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Enough is how many hulls a spread needs before it says anything: with fewer,
// the range is only the list of what happened.
const Enough = 3

// Spread is what several hulls took: Values sorted, one for each hull.
type Spread struct{ Values []int64 }

// N is how many hulls there are.
func (s Spread) N() int { return len(s.Values) }

// Few reports whether the hulls are too few to speak of a spread.
func (s Spread) Few() bool { return s.N() < Enough }

// Least and Most bound what happened.
func (s Spread) Least() int64 { return s.at(0) }

// Most is the largest value.
func (s Spread) Most() int64 { return s.at(s.N() - 1) }

func (s Spread) at(i int) int64 {
	if i < 0 || i >= s.N() {
		return 0
	}
	return s.Values[i]
}

// Median is the middle value, or half-way between the middle two.
func (s Spread) Median() int64 {
	n := s.N()
	if n%2 == 1 || n == 0 {
		return s.at(n / 2)
	}
	return s.at(n/2-1) + (s.at(n/2)-s.at(n/2-1))/2
}

// Mean is the average, rounded half away from zero.
func (s Spread) Mean() int64 {
	if s.N() == 0 {
		return 0
	}
	sum := new(big.Int)
	for _, v := range s.Values {
		sum.Add(sum, big.NewInt(v))
	}
	v, err := costing.RoundRat(new(big.Rat).SetFrac(sum, big.NewInt(int64(s.N()))))
	if err != nil {
		return s.Median() // a mean of int64s is one too
	}
	return v
}

// Took is what past hulls took under one key: hours of a grade, net quantity
// and waste of an item, money of a bought-in part, in millionths.
type Took struct {
	Stage, Part, Key string
	Element          costing.Element
	Amount           Spread // over all hulls that finished the stage; nought where one had none
	Waste            Spread // of the hulls that drew any; share of net
	Hulls            []string
}

// Past gathers what hulls took in the stages that they have finished: build
// jobs only, for changes and rework say nothing of the next boat.
type Past struct {
	Yard   *costing.Yard
	Day    costing.Date
	Plan   *estimate.Plan
	Stated estimate.Progress
	Totals *costing.Totals
}

type tookKey struct {
	stage, part, key string
	element          costing.Element
}

type taken struct{ amount, gross, net int64 }

// Of gathers what the hulls took, in the order of the build.
func (p *Past) Of(hulls []string) ([]Took, error) {
	wanted := map[string]bool{}
	for _, h := range hulls {
		wanted[h] = true
	}
	sums := map[tookKey]map[string]taken{}
	add := func(k tookKey, hull string, t taken) {
		if sums[k] == nil {
			sums[k] = map[string]taken{}
		}
		was := sums[k][hull]
		sums[k][hull] = taken{was.amount + t.amount, was.gross + t.gross, was.net + t.net}
	}
	seconds := map[tookKey]map[string]int64{}
	for fine, s := range p.Totals.Fine {
		job := p.Yard.Jobs[fine.Job]
		if job == nil || !wanted[fine.Hull] || job.Purpose != costing.Build || job.Change != "" || !p.finished(fine.Hull, job.Stage) {
			continue
		}
		k := tookKey{job.Stage, job.Part, fine.Detail, fine.Element}
		switch fine.Element {
		case costing.Labour:
			if seconds[k] == nil {
				seconds[k] = map[string]int64{}
			}
			seconds[k][fine.Hull] += s.Seconds
		case costing.Material:
			net := s.Net
			if it := p.Yard.Items[fine.Detail]; it != nil && it.WasteMode != costing.Factored {
				net = s.Quantity - s.Waste
			}
			add(k, fine.Hull, taken{int64(net), int64(s.Quantity), int64(net)})
		}
	}
	for k, byHull := range seconds {
		for hull, n := range byHull {
			v, err := costing.MulRound(n, costing.Million, 3600)
			if err != nil {
				return nil, err
			}
			add(k, hull, taken{amount: v})
		}
	}
	for i := range p.Yard.Bought {
		b := &p.Yard.Bought[i]
		if wanted[b.Hull] && b.Date <= p.Day && b.Purpose == costing.Build && p.finished(b.Hull, b.Stage) {
			v, err := costing.MulRound(int64(b.Amount), costing.Million, p.Yard.Currency.Scale())
			if err != nil {
				return nil, err
			}
			add(tookKey{b.Stage, "", b.Description, costing.BoughtIn}, b.Hull, taken{amount: v})
		}
	}
	return p.list(sums, hulls), nil
}

func (p *Past) finished(hull, stage string) bool {
	return p.Plan.Stage(costing.HullStage{Hull: hull, Stage: stage}, p.Stated).Cmp(big.NewRat(1, 1)) >= 0
}

func (p *Past) list(sums map[tookKey]map[string]taken, hulls []string) []Took {
	hulls = slices.Sorted(slices.Values(hulls))
	list := make([]Took, 0, len(sums))
	for k, byHull := range sums {
		t := Took{Stage: k.stage, Part: k.part, Key: k.key, Element: k.element}
		for _, h := range hulls {
			if !p.finished(h, k.stage) {
				continue
			}
			v := byHull[h]
			t.Hulls = append(t.Hulls, h)
			t.Amount.Values = append(t.Amount.Values, v.amount)
			if k.element == costing.Material && v.net > 0 {
				if w, err := costing.MulRound(v.gross-v.net, costing.Million, v.net); err == nil {
					t.Waste.Values = append(t.Waste.Values, w)
				}
			}
		}
		slices.Sort(t.Amount.Values)
		slices.Sort(t.Waste.Values)
		list = append(list, t)
	}
	slices.SortFunc(list, func(a, b Took) int {
		return cmp.Or(cmp.Compare(p.at(a.Stage), p.at(b.Stage)), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Part, b.Part),
			cmp.Compare(a.Element, b.Element), cmp.Compare(a.Key, b.Key))
	})
	return list
}

func (p *Past) at(stage string) int {
	if s := p.Yard.Stages[stage]; s != nil {
		return s.Order
	}
	return 0
}

// Measure says which figure of a spread a draft takes.
type Measure string

// The measures.
const (
	ByMedian Measure = "median"
	ByMean   Measure = "mean"
)

func (s Spread) by(m Measure) int64 {
	if m == ByMean {
		return s.Mean()
	}
	return s.Median()
}

// Draft makes the lines of a hull from what past hulls took, at the yard's own
// standard rates and prices of a day. What most of the hulls did without is
// nought by the median, and left out. Jobs are called after hull and stage.
func Draft(y *costing.Yard, hull string, day costing.Date, took []Took, m Measure) []Line {
	type place struct{ stage, part string }
	jobs, count := map[place]string{}, map[string]int{}
	var lines []Line
	for i := range took {
		t := &took[i]
		amount := t.Amount.by(m)
		if amount <= 0 {
			continue
		}
		at := place{t.Stage, t.Part}
		if jobs[at] == "" {
			count[t.Stage]++
			jobs[at] = hull + "-" + t.Stage + "-" + itoa(count[t.Stage])
		}
		l := Line{
			Job: jobs[at], Stage: t.Stage, Part: t.Part, Purpose: costing.Build, Element: t.Element, Key: t.Key,
			Quantity: costing.Quantity(amount),
		}
		switch t.Element {
		case costing.Labour:
			l.Rate = y.Grades[t.Key].Or(day, 0)
		case costing.Material:
			l.Waste = costing.Share(max(t.Waste.by(m), 0))
			if it := y.Items[t.Key]; it != nil {
				l.Rate = it.StandardPrice
			}
		case costing.BoughtIn:
			l.Quantity, l.Rate = costing.Million, costing.Price(amount)
		case costing.Overhead: // follows the hours
			continue
		}
		lines = append(lines, l)
	}
	return lines
}

func itoa(n int) string { return costing.FormatDecimal(int64(n) * costing.Million) }
