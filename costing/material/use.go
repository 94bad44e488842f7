package material

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Known says where the waste of a use is known from.
type Known string

// How waste is known.
const (
	Weighed    Known = "weighed"
	ByFactor   Known = "factor and counts"
	NotWeighed Known = "not weighed"
	NotDrawn   Known = "not drawn"
)

// Use is an item in a hull's stage under one purpose, or in one job of a hull.
type Use struct {
	Hull, Stage, Job, Item string // Job is empty for a whole stage
	Purpose                costing.Purpose
	Planned                bool             // a line of the estimate names it
	Estimate               costing.Quantity // net by the estimate
	Expected               costing.Quantity // of it, for the work stated done
	Net, Drawn, Waste      costing.Quantity // Drawn = Net + Waste
	Known                  Known
	Done                   int // per cent, of a job
	// Factors are shares of net; nil where there is nothing to reckon with.
	// ByEstimate sets what was drawn against the estimate's net for the work
	// done: it tells waste that nobody weighed, and take-off, as well.
	Allowed, Achieved, ByEstimate *big.Rat
	Over                          costing.Quantity // drawn beyond net × (1 + allowed)
	Value                         costing.Money    // Over at standard price
	Cost                          costing.Money

	allowedWaste *big.Rat // Σ net × allowance of the estimate
}

// Books are all uses.
type Books struct {
	Stages, Jobs []Use
	Mixes        []Mix

	yard *costing.Yard
}

type useKey struct {
	hull, stage, job, item string
	purpose                costing.Purpose
}

// exact is a use in the making.
type exact struct {
	useKey
	planned                       bool
	estimate, gross, cost, expect *big.Rat
	sums                          costing.Sums
}

// Gather sets what was drawn against the plan, by stage and by job.
func Gather(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, totals *costing.Totals) (*Books, error) {
	jobs, stages := map[useKey]*exact{}, map[useKey]*exact{}
	get := func(m map[useKey]*exact, k useKey) *exact {
		if m[k] == nil {
			m[k] = &exact{useKey: k, estimate: new(big.Rat), gross: new(big.Rat), cost: new(big.Rat), expect: new(big.Rat)}
		}
		return m[k]
	}
	both := func(job *costing.Job, hull, item string) [2]*exact {
		k := useKey{hull, job.Stage, job.Key, item, job.Purpose}
		whole := k
		whole.job = ""
		return [2]*exact{get(jobs, k), get(stages, whole)}
	}
	for k, it := range plan.ByJob {
		job := y.Jobs[k.Job]
		var weights int64
		for _, s := range job.Shares {
			weights += s.Weight
		}
		for _, s := range job.Shares {
			part := big.NewRat(s.Weight, weights)
			for _, e := range both(job, s.Hull, k.Item) {
				e.plan(it, part, stated[k.Job])
			}
		}
	}
	for fine, s := range totals.Fine {
		if job := y.Jobs[fine.Job]; fine.Element == costing.Material && job != nil && y.Items[fine.Detail] != nil {
			for _, e := range both(job, fine.Hull, fine.Detail) {
				e.sums = e.sums.Plus(s)
			}
		}
	}
	b := &Books{yard: y}
	var err error
	if b.Jobs, err = settle(y, jobs); err != nil {
		return nil, err
	}
	if b.Stages, err = settle(y, stages); err != nil {
		return nil, err
	}
	for i := range b.Jobs {
		b.Jobs[i].Done = stated[b.Jobs[i].Job]
	}
	b.Mixes, err = mixes(y, b.Jobs)
	return b, err
}

func (e *exact) plan(it *estimate.Item, part *big.Rat, percent int) {
	e.planned = true
	net := new(big.Rat).Mul(it.Net, part)
	e.estimate.Add(e.estimate, net)
	e.gross.Add(e.gross, new(big.Rat).Mul(it.Gross, part))
	e.cost.Add(e.cost, new(big.Rat).Mul(it.Cost, part))
	e.expect.Add(e.expect, net.Mul(net, big.NewRat(int64(percent), 100)))
}

func settle(y *costing.Yard, of map[useKey]*exact) ([]Use, error) {
	list := make([]Use, 0, len(of))
	for _, e := range of {
		u, err := e.settle(y)
		if err != nil {
			return nil, err
		}
		if u.Planned || !e.sums.IsZero() {
			list = append(list, u)
		}
	}
	slices.SortFunc(list, compare)
	return list, nil
}

func compare(a, b Use) int {
	return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Purpose, b.Purpose), cmp.Compare(a.Job, b.Job),
		cmp.Compare(a.Item, b.Item))
}

func (e *exact) settle(y *costing.Yard) (Use, error) {
	item := y.Items[e.item]
	u := Use{
		Hull: e.hull, Stage: e.stage, Job: e.job, Item: e.item, Purpose: e.purpose, Planned: e.planned,
		Drawn: e.sums.Quantity, Cost: e.sums.Amount, Known: NotDrawn,
		allowedWaste: new(big.Rat).Sub(e.gross, e.estimate),
	}
	r := rounder{}
	u.Estimate, u.Expected = costing.Quantity(r.round(e.estimate)), costing.Quantity(r.round(e.expect))
	switch {
	case item != nil && item.WasteMode == costing.Factored && (e.sums.Net != 0 || e.sums.Quantity != 0):
		u.Known, u.Net = ByFactor, e.sums.Net
	case e.sums.Waste != 0:
		u.Known, u.Net = Weighed, u.Drawn-e.sums.Waste
	case u.Drawn != 0:
		u.Known, u.Net = NotWeighed, u.Drawn
	}
	u.Waste = u.Drawn - u.Net
	if e.estimate.Sign() > 0 {
		u.Allowed = new(big.Rat).Quo(u.allowedWaste, e.estimate)
	}
	if u.wasteKnown() && u.Net > 0 {
		u.Achieved = big.NewRat(int64(u.Waste), int64(u.Net))
	}
	if u.Drawn > 0 && e.expect.Sign() > 0 {
		u.ByEstimate = new(big.Rat).Quo(rat(u.Drawn), e.expect)
		u.ByEstimate.Sub(u.ByEstimate, one)
	}
	if u.wasteKnown() && u.Allowed != nil {
		good := new(big.Rat).Add(one, u.Allowed)
		good.Mul(good, rat(u.Net))
		u.Over = u.Drawn - costing.Quantity(r.round(good))
		price := new(big.Rat)
		if e.gross.Sign() > 0 {
			price.Quo(e.cost, e.gross)
		}
		// Rounded as the cost report rounds it: where waste was weighed this is
		// that report's waste, to the cent.
		u.Value = costing.Money(r.round(new(big.Rat).Mul(price, rat(u.Drawn))) - r.round(good.Mul(price, good)))
	}
	return u, r.err
}

func (u *Use) wasteKnown() bool { return u.Known == Weighed || u.Known == ByFactor }

var one = big.NewRat(1, 1)

func rat(q costing.Quantity) *big.Rat { return new(big.Rat).SetInt64(int64(q)) }

// rounder keeps the first error of several roundings.
type rounder struct{ err error }

func (r *rounder) round(v *big.Rat) int64 {
	n, err := costing.RoundRat(v)
	if r.err == nil {
		r.err = err
	}
	return n
}

// Group is a kind of material that has a report of its own.
type Group string

// The groups.
const (
	Resins Group = "resin" // and hardeners
	Fibres Group = "fibre"
	Cores  Group = "core"
)

// Groups lists every group in the order they are shown.
var Groups = []Group{Resins, Fibres, Cores}

// Of reports whether an item belongs to the group.
func (g Group) Of(it *costing.Item) bool {
	switch {
	case it == nil:
		return false
	case g == Resins:
		return it.Role == costing.Resin || it.Role == costing.Hardener
	}
	return it.Role == costing.Role(g)
}

// Items lists the items of a group, sorted.
func (g Group) Items(y *costing.Yard) []string {
	var list []string
	for _, key := range slices.Sorted(maps.Keys(y.Items)) {
		if g.Of(y.Items[key]) {
			list = append(list, key)
		}
	}
	return list
}
