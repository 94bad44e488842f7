package review

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Books are the figures that a review is made of.
type Books struct {
	Yard    *costing.Yard
	Day     costing.Date
	Plan    *estimate.Plan
	Stated  estimate.Progress
	Totals  *costing.Totals
	Rows    []variance.Row
	Cells   []forecast.Cell
	Margins []forecast.Margin

	lines map[string][]costing.EstimateLine // by hull, once asked for
}

// Hull is one hull reviewed.
type Hull struct {
	forecast.Margin
	Hull     *costing.Hull
	Baseline costing.Money // the estimate as signed
	Stages   []Stage       // in the order of the build
	Changes  []Change
	// Rows are the hull's rows of variance without the work on changes that
	// nobody has agreed: that is a cause of its own.
	Rows []variance.Row
}

// Stage is a stage of a hull reviewed.
type Stage struct {
	Stage                     *costing.Stage
	Progress                  *big.Rat
	Estimate, Allowed, Actual costing.Money
	ToComplete                costing.Money
	Low, High                 costing.Money // to complete by the kindest and the harshest method
	Seconds                   int64
	Split                     Split // of actual − allowed
	// Final splits what the stage will have cost beyond its estimate. Material
	// and parts that only came ahead of the work are not in it: what is bought
	// need not be bought again.
	Final Split
}

// Variance is actual − allowed.
func (s *Stage) Variance() costing.Money { return s.Actual - s.Allowed }

// AtCompletion is what the stage will have cost.
func (s *Stage) AtCompletion() costing.Money { return s.Actual + s.ToComplete }

// SignedMargin is the margin that was signed for.
func (h *Hull) SignedMargin() costing.Money { return h.Price - h.Baseline }

// EstimatedMargin is the margin by the current estimate.
func (h *Hull) EstimatedMargin() costing.Money { return h.Price + h.Margin.Changes - h.Estimate }

// Fall is how far the forecast margin is below what was signed for.
func (h *Hull) Fall() costing.Money { return h.SignedMargin() - h.Margin.Margin }

// Low and High bound the cost at completion by the methods of the forecast.
func (h *Hull) Low() costing.Money { return h.bound(func(s *Stage) costing.Money { return s.Low }) }

// High is the cost at completion by the harshest methods.
func (h *Hull) High() costing.Money { return h.bound(func(s *Stage) costing.Money { return s.High }) }

func (h *Hull) bound(of func(*Stage) costing.Money) costing.Money {
	sum := h.Actual
	for i := range h.Stages {
		sum += of(&h.Stages[i])
	}
	return sum
}

// Hulls reviews every hull of the yard, or the one named: what needs attention
// first, that is losses, the greatest before, then by the fall of the margin.
func Hulls(b *Books, only string) ([]*Hull, error) {
	rows, open, err := withoutOpenChanges(b, only)
	if err != nil {
		return nil, err
	}
	baseline, err := baselines(b)
	if err != nil {
		return nil, err
	}
	var list []*Hull
	for i := range b.Margins {
		m := &b.Margins[i]
		if b.Yard.Hulls[m.Hull] == nil || only != "" && m.Hull != only {
			continue
		}
		h := &Hull{Margin: *m, Hull: b.Yard.Hulls[m.Hull], Baseline: baseline[m.Hull]}
		for j := range rows {
			if rows[j].Hull == m.Hull {
				h.Rows = append(h.Rows, rows[j])
			}
		}
		h.stages(b, open)
		if err := h.changes(b, open); err != nil {
			return nil, err
		}
		list = append(list, h)
	}
	slices.SortStableFunc(list, func(x, y *Hull) int {
		return cmp.Or(cmp.Compare(min(x.Margin.Margin, 0), min(y.Margin.Margin, 0)), cmp.Compare(y.Fall(), x.Fall()),
			cmp.Compare(x.Hull.Key, y.Hull.Key))
	})
	return list, nil
}

// stages gathers rows and forecast cells by stage.
func (h *Hull) stages(b *Books, open map[jobOf]costing.Sums) {
	byKey := map[string]*Stage{}
	get := func(key string) *Stage {
		s := byKey[key]
		if s == nil {
			s = &Stage{Stage: b.Yard.Stages[key], Split: Split{}, Final: Split{}}
			if s.Stage == nil {
				s.Stage = &costing.Stage{Key: key, Name: key}
			}
			s.Progress = b.Plan.Stage(costing.HullStage{Hull: h.Hull.Key, Stage: key}, b.Stated)
			byKey[key] = s
		}
		return s
	}
	allowed := map[forecast.Key]costing.Money{}
	for i := range b.Rows {
		if r := &b.Rows[i]; r.Hull == h.Hull.Key {
			s := get(r.Stage)
			allowed[forecast.Key{Stage: r.Stage, Element: r.Element, Apart: r.Purpose.Apart()}] += r.Allowed
			s.Estimate += r.Estimate
			s.Allowed += r.Allowed
			s.Actual += r.Actual
			s.Seconds += r.Seconds
		}
	}
	for i := range h.Rows {
		s := get(h.Rows[i].Stage)
		for cause, m := range h.Rows[i].Variances {
			s.Split[themeOf[cause]] += m
		}
	}
	for k, sums := range open {
		if k.hull == h.Hull.Key && sums.Amount != 0 {
			get(b.Yard.Jobs[k.job].Stage).Split[NotAgreed] += sums.Amount
		}
	}
	for _, s := range byKey {
		maps.Copy(s.Final, s.Split)
	}
	for i := range b.Cells {
		c := &b.Cells[i]
		if c.Hull != h.Hull.Key {
			continue
		}
		s := get(c.Stage)
		s.ToComplete += c.ToComplete()
		s.Final[restOf(c)] += c.ToComplete() - (c.Estimate - allowed[forecast.Key{Stage: c.Stage, Element: c.Element, Apart: c.Apart}])
		low, high := c.Bounds()
		s.Low += low
		s.High += high
	}
	for _, s := range byKey {
		h.Stages = append(h.Stages, *s)
	}
	slices.SortFunc(h.Stages, func(x, y Stage) int {
		return cmp.Or(cmp.Compare(x.Stage.Order, y.Stage.Order), cmp.Compare(x.Stage.Key, y.Stage.Key))
	})
}

// statedIn reports whether the forecast of a stage rests on what an estimator
// stated.
func (h *Hull) statedIn(b *Books, stage string) bool {
	return slices.ContainsFunc(b.Cells, func(c forecast.Cell) bool {
		return c.Hull == h.Hull.Key && c.Stage == stage && c.Chosen == forecast.Stated
	})
}

// restOf is the theme that bears what a cell's rest takes beyond its estimate.
func restOf(c *forecast.Cell) Theme {
	switch {
	case c.Apart:
		return Rework
	case c.Element == costing.Material:
		return Quantity
	case c.Element == costing.BoughtIn:
		return BoughtIn
	}
	return StillToDo
}

// baselines are the estimates as signed, without any change order. Only rows
// that an agreed change adds to differ from the estimate of today.
func baselines(b *Books) (map[string]costing.Money, error) {
	changed := map[estimate.Key]bool{}
	each := func(l *costing.EstimateLine, do func(estimate.Key)) {
		if job := b.Yard.Jobs[l.Job]; job != nil {
			for _, s := range job.Shares {
				do(estimate.Key{Hull: s.Hull, Stage: job.Stage, Purpose: job.Purpose})
			}
		}
	}
	ofChange := func(l *costing.EstimateLine) bool {
		return l.Change != "" || b.Yard.Jobs[l.Job] != nil && b.Yard.Jobs[l.Job].Change != ""
	}
	for i := range b.Yard.Estimate {
		if l := &b.Yard.Estimate[i]; ofChange(l) {
			each(l, func(k estimate.Key) { changed[k] = true })
		}
	}
	yard := *b.Yard
	yard.Changes, yard.Estimate = nil, nil
	for i := range b.Yard.Estimate {
		l, wanted := &b.Yard.Estimate[i], false
		each(l, func(k estimate.Key) { wanted = wanted || changed[k] })
		if wanted && !ofChange(l) {
			yard.Estimate = append(yard.Estimate, *l)
		}
	}
	sums := map[string]costing.Money{}
	for i := range b.Rows {
		if r := &b.Rows[i]; !changed[estimate.Key{Hull: r.Hull, Stage: r.Stage, Purpose: r.Purpose}] {
			sums[r.Hull] += r.Estimate
		}
	}
	for k, row := range estimate.Build(&yard, b.Day).Rows {
		if !changed[k] {
			continue // the other share of a job that a change touches elsewhere
		}
		m, err := worth(row, nil)
		if err != nil {
			return nil, err
		}
		sums[k.Hull] += m
	}
	return sums, nil
}

// linesOf are the estimate lines of jobs that a hull has a share of.
func (b *Books) linesOf(hull string) []costing.EstimateLine {
	if b.lines == nil {
		b.lines = map[string][]costing.EstimateLine{}
		for i := range b.Yard.Estimate {
			if job := b.Yard.Jobs[b.Yard.Estimate[i].Job]; job != nil {
				for _, s := range job.Shares {
					b.lines[s.Hull] = append(b.lines[s.Hull], b.Yard.Estimate[i])
				}
			}
		}
	}
	return b.lines[hull]
}

// worth is a plan row's cost, or a share of it, rounded as the variances round.
func worth(row *estimate.Row, share *big.Rat) (costing.Money, error) {
	exact := []*big.Rat{row.Labour, row.Overhead, row.Bought}
	for _, it := range row.Items {
		exact = append(exact, it.Cost)
	}
	var sum costing.Money
	for _, r := range exact {
		if share != nil {
			r = new(big.Rat).Mul(r, share)
		}
		m, err := costing.RoundRat(r)
		if err != nil {
			return 0, err
		}
		sum += costing.Money(m)
	}
	return sum, nil
}

// Standing says in a word how a hull stands against what was signed for.
type Standing string

// The standings.
const (
	Losing   Standing = "losing"
	Slipping Standing = "slipping"
	Holding  Standing = "holding"
	Gaining  Standing = "gaining"
)

// steady is the part of the price within which a margin is said to hold.
var steady = big.NewRat(1, 100)

// Standing is losing where the cost passes the price; otherwise the margin
// holds within one per cent of the price of what was signed for.
func (h *Hull) Standing() Standing {
	room := new(big.Rat).Mul(steady, new(big.Rat).SetInt64(int64(h.Price+h.Margin.Changes)))
	fall := new(big.Rat).SetInt64(int64(h.Fall()))
	switch {
	case h.Margin.Margin < 0:
		return Losing
	case fall.Cmp(room) > 0:
		return Slipping
	case fall.Neg(fall).Cmp(room) > 0:
		return Gaining
	}
	return Holding
}
