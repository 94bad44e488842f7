package material

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
)

// Handled is what somebody scanned of a lot for a job, added up by kind.
type Handled struct {
	Worker, Crew, Job, Lot string
	Kind                   clock.EntryKind
	Quantity               costing.Quantity
}

// Cut is what one cutter drew of a reinforcement or a core for a job, whole,
// and weighed or measured of it as waste. Who says nothing of it is nobody.
type Cut struct {
	Job          *costing.Job
	Worker, Item string
	Issued       costing.Quantity
	Returned     costing.Quantity // usable, put back: part-used rolls and sheets
	Waste        costing.Quantity // offcuts and nesting waste that were measured
	Lots         int              // rolls or pallets drawn from
	Plies        int              // by the estimate of the job
	// Share is waste of what this cutter drew, JobShare that of all cutters of
	// the job: who weighs an offcut is often not who drew the roll. Nil where
	// nothing was drawn.
	Share, JobShare *big.Rat
}

// Drawn is what stayed with the job.
func (c *Cut) Drawn() costing.Quantity { return c.Issued - c.Returned }

// Cuts gathers what was handled of fibre and core by job, cutter and item.
func Cuts(y *costing.Yard, plan *estimate.Plan, handled []Handled) []Cut {
	type key struct{ job, worker, item string }
	cuts, lots := map[key]*Cut{}, map[key]map[string]bool{}
	for i := range handled {
		h := &handled[i]
		lot, job := y.Lots[h.Lot], y.Jobs[h.Job]
		if lot == nil || job == nil {
			continue
		}
		it := y.Items[lot.Item]
		if !Fibres.Of(it) && !Cores.Of(it) {
			continue
		}
		k := key{h.Job, cmp.Or(h.Worker, h.Crew), it.Key}
		if cuts[k] == nil {
			cuts[k] = &Cut{Job: job, Worker: k.worker, Item: it.Key}
			lots[k] = map[string]bool{}
			if p := plan.ByJob[estimate.JobItem{Job: h.Job, Item: it.Key}]; p != nil {
				cuts[k].Plies = p.Plies
			}
		}
		switch h.Kind {
		case clock.Issue:
			cuts[k].Issued += h.Quantity
			lots[k][h.Lot] = true
		case clock.Returned:
			cuts[k].Returned += h.Quantity
		case clock.Wasted:
			cuts[k].Waste += h.Quantity
		}
	}
	drawn, waste := map[estimate.JobItem]costing.Quantity{}, map[estimate.JobItem]costing.Quantity{}
	for k, c := range cuts {
		drawn[estimate.JobItem{Job: k.job, Item: k.item}] += c.Drawn()
		waste[estimate.JobItem{Job: k.job, Item: k.item}] += c.Waste
	}
	list := make([]Cut, 0, len(cuts))
	for k, c := range cuts {
		if of := (estimate.JobItem{Job: k.job, Item: k.item}); drawn[of] > 0 {
			c.JobShare = big.NewRat(int64(waste[of]), int64(drawn[of]))
		}
		c.Lots = len(lots[k])
		if c.Drawn() > 0 {
			c.Share = big.NewRat(int64(c.Waste), int64(c.Drawn()))
		}
		list = append(list, *c)
	}
	slices.SortFunc(list, func(a, b Cut) int {
		return cmp.Or(cmp.Compare(a.Job.Shares[0].Hull, b.Job.Shares[0].Hull), cmp.Compare(a.Job.Stage, b.Job.Stage),
			cmp.Compare(a.Job.Key, b.Job.Key), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Worker, b.Worker))
	})
	return list
}
