// Package need works out what the open jobs still expect to draw, week by week,
// and what of it the stock does not cover: a list to order from, no purchasing
// system. It knows neither what is on order nor how long a supplier takes.
package need

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Shelf is what a lot should hold, and the last day it may be used.
type Shelf struct {
	Lot, Item string
	Left      costing.Quantity
	Best      *costing.Date // nil: it keeps
	Held      bool          // in quarantine
}

// Line is what one job still expects to draw of an item: its estimate with the
// allowance less what was issued, never below nought.
type Line struct {
	Job      *costing.Job
	Item     string
	Quantity costing.Quantity
	Day      costing.Date // when it is wanted
}

// Week is an item in one week.
type Week struct {
	Monday                   costing.Date
	Need, FromStock, ToOrder costing.Quantity // ToOrder of whole pieces is rounded up
	Lines                    []Line
}

// Lapse is stock that runs out of its life before the open jobs want it.
type Lapse struct {
	Lot      string
	Quantity costing.Quantity
	Best     costing.Date
}

// Item is an item that open jobs expect.
type Item struct {
	Item     *costing.Item
	Usable   costing.Quantity // on the shelf now, neither held nor expired
	Unusable costing.Quantity // held or expired
	Weeks    []Week
	Lapses   []Lapse
}

// List works the need of every item out as of a day.
func List(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, totals *costing.Totals, shelves []Shelf, day costing.Date) ([]Item, error) {
	lines, err := Lines(y, plan, stated, totals, day)
	if err != nil {
		return nil, err
	}
	items := map[string]*Item{}
	for _, l := range lines {
		it := items[l.Item]
		if it == nil {
			it = &Item{Item: y.Items[l.Item]}
			items[l.Item] = it
		}
		it.add(l)
	}
	list := make([]Item, 0, len(items))
	for _, key := range slices.Sorted(maps.Keys(items)) {
		it := items[key]
		it.cover(shelves, day)
		list = append(list, *it)
	}
	return list, nil
}

// add puts a line into its week; lines come by day.
func (it *Item) add(l Line) {
	monday := l.Day.Monday()
	if n := len(it.Weeks); n == 0 || it.Weeks[n-1].Monday != monday {
		it.Weeks = append(it.Weeks, Week{Monday: monday})
	}
	w := &it.Weeks[len(it.Weeks)-1]
	w.Need += l.Quantity
	w.Lines = append(w.Lines, l)
}

// cover takes the need from the shelves, week by week, first expired first.
// (Decision: a lot serves a week that its life outlasts to the end.)
func (it *Item) cover(shelves []Shelf, day costing.Date) {
	var usable []Shelf
	for _, s := range shelves {
		switch {
		case s.Item != it.Item.Key || s.Left <= 0:
		case s.Held || s.Best != nil && *s.Best < day:
			it.Unusable += s.Left
		default:
			it.Usable += s.Left
			usable = append(usable, s)
		}
	}
	slices.SortFunc(usable, func(a, b Shelf) int {
		return cmp.Or(cmp.Compare(last(a.Best), last(b.Best)), cmp.Compare(a.Lot, b.Lot))
	})
	for i := range it.Weeks {
		w := &it.Weeks[i]
		open := w.Need
		for j := range usable {
			s := &usable[j]
			if last(s.Best) < w.Monday+6 {
				continue
			}
			q := min(open, s.Left)
			s.Left -= q
			open -= q
			w.FromStock += q
		}
		w.ToOrder = open
		if it.Item.StockUnit == costing.Each {
			w.ToOrder = (open + costing.Million - 1) / costing.Million * costing.Million
		}
	}
	end := it.Weeks[len(it.Weeks)-1].Monday + 6
	for _, s := range usable {
		if s.Left > 0 && s.Best != nil && *s.Best < end {
			it.Lapses = append(it.Lapses, Lapse{s.Lot, s.Left, *s.Best})
		}
	}
}

func last(d *costing.Date) costing.Date {
	if d == nil {
		return 1 << 30
	}
	return *d
}

// Lines lists what each open job still expects, by day, item and job. A job
// stated done expects nothing more; one without an estimate nobody can foresee.
func Lines(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, totals *costing.Totals, day costing.Date) ([]Line, error) {
	drawn := map[estimate.JobItem]costing.Quantity{}
	begun := map[string]bool{}
	for fine, s := range totals.Fine {
		if fine.Element == costing.Material {
			drawn[estimate.JobItem{Job: fine.Job, Item: fine.Detail}] += s.Quantity
		}
		if s.Seconds > 0 || s.Quantity > 0 {
			begun[fine.Job] = true
		}
	}
	starts := starts(y, plan, stated, begun, day)
	var lines []Line
	for k, it := range plan.ByJob {
		job := y.Jobs[k.Job]
		if stated[k.Job] >= 100 || y.Items[k.Item] == nil {
			continue
		}
		gross, err := costing.RoundRat(it.Gross)
		if err != nil {
			return nil, err
		}
		if q := costing.Quantity(gross) - max(0, drawn[k]); q > 0 {
			lines = append(lines, Line{job, k.Item, q, starts.of(job, day)})
		}
	}
	slices.SortFunc(lines, func(a, b Line) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Job.Key, b.Job.Key))
	})
	return lines, nil
}

// startsOf is when each open stage of a hull is expected to begin.
type startsOf map[costing.HullStage]costing.Date

// of is when a job wants its material: with the first of its hulls.
func (s startsOf) of(job *costing.Job, day costing.Date) costing.Date {
	first := costing.Date(1 << 30)
	for _, share := range job.Shares {
		if d, ok := s[costing.HullStage{Hull: share.Hull, Stage: job.Stage}]; ok {
			first = min(first, d)
		}
	}
	if first == 1<<30 {
		return day
	}
	return max(day, first)
}

// starts spreads the open stages of every hull between the day and its due
// date. (Decision: jobs bear no dates. A stage that has begun wants its
// material now; the others begin in the order of stages, each when the share of
// the hull's standard hours still to do that lies before it has passed. A hull
// that is overdue, or has no due date, wants everything now.)
func starts(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, begun map[string]bool, day costing.Date) startsOf {
	type stage struct {
		key   costing.HullStage
		order int
		left  *big.Rat
		begun bool
	}
	hulls := map[string]map[string]*stage{}
	for _, job := range y.Jobs {
		if stated[job.Key] >= 100 {
			continue
		}
		for _, share := range job.Shares {
			if hulls[share.Hull] == nil {
				hulls[share.Hull] = map[string]*stage{}
			}
			s := hulls[share.Hull][job.Stage]
			if s == nil {
				k := costing.HullStage{Hull: share.Hull, Stage: job.Stage}
				s = &stage{key: k, left: plan.Left(k, stated)}
				if st := y.Stages[job.Stage]; st != nil {
					s.order = st.Order
				}
				hulls[share.Hull][job.Stage] = s
			}
			s.begun = s.begun || begun[job.Key]
		}
	}
	list := startsOf{}
	for hull, stages := range hulls {
		order := slices.SortedFunc(maps.Values(stages), func(a, b *stage) int {
			return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.key.Stage, b.key.Stage))
		})
		all, before := new(big.Rat), new(big.Rat)
		for _, s := range order {
			all.Add(all, s.left)
		}
		days := int64(0)
		if h := y.Hulls[hull]; h != nil && h.Due != nil {
			days = max(0, int64(*h.Due-day))
		}
		for _, s := range order {
			start := day
			if !s.begun && all.Sign() > 0 {
				part := new(big.Rat).Quo(before, all)
				part.Mul(part, big.NewRat(days, 1))
				start += costing.Date(new(big.Int).Quo(part.Num(), part.Denom()).Int64())
			}
			list[s.key] = start
			before.Add(before, s.left)
		}
	}
	return list
}
