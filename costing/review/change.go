package review

import (
	"cmp"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/variance"
)

// Change is a change order with what was spent on it.
type Change struct {
	*costing.Change
	Counts   bool // agreed by the day
	Price    costing.Money
	Estimate costing.Money // of its lines, agreed or not
	Jobs     []JobCost
	Cost     costing.Money
	Seconds  int64
}

// JobCost is what a hull's share of a job has cost.
type JobCost struct {
	Job     *costing.Job
	Seconds int64
	Cost    costing.Money
}

// jobOf is a hull's share of a job.
type jobOf struct{ hull, job string }

// notAgreed reports whether a job is for a change order that does not count.
func notAgreed(y *costing.Yard, job *costing.Job, day costing.Date) bool {
	if job == nil || job.Change == "" {
		return false
	}
	c := y.Changes[job.Change]
	return c == nil || !c.Counts(day)
}

// withoutOpenChanges takes the work on changes that nobody has agreed out of
// the rows of variance, so that it is told apart from the causes of the agreed
// work. It has no estimate, so nothing of what is allowed goes with it. Rows
// without such work are as they were.
func withoutOpenChanges(b *Books, only string) ([]variance.Row, map[jobOf]costing.Sums, error) {
	open, touched := map[jobOf]costing.Sums{}, map[estimate.Key]bool{}
	for k, s := range b.Totals.Fine {
		job := b.Yard.Jobs[k.Job]
		if (only == "" || k.Hull == only) && notAgreed(b.Yard, job, b.Day) {
			open[jobOf{k.Hull, k.Job}] = open[jobOf{k.Hull, k.Job}].Plus(s)
			touched[estimate.Key{Hull: k.Hull, Stage: job.Stage, Purpose: job.Purpose}] = true
		}
	}
	if len(open) == 0 {
		return b.Rows, open, nil
	}
	plan := *b.Plan
	plan.Rows = map[estimate.Key]*estimate.Row{}
	for k := range touched {
		if row := b.Plan.Rows[k]; row != nil {
			plan.Rows[k] = row
		}
	}
	again, err := variance.Rows(b.Yard, &plan, b.Stated, agreedWork(b, touched))
	if err != nil {
		return nil, nil, err
	}
	for i := range b.Rows {
		if r := &b.Rows[i]; !touched[estimate.Key{Hull: r.Hull, Stage: r.Stage, Purpose: r.Purpose}] {
			again = append(again, *r)
		}
	}
	return again, open, nil
}

// agreedWork is the totals of some rows without work that nobody has agreed.
func agreedWork(b *Books, touched map[estimate.Key]bool) *costing.Totals {
	t := costing.NewTotals()
	for k, s := range b.Totals.Cells {
		if touched[estimate.Key{Hull: k.Hull, Stage: k.Stage, Purpose: k.Purpose}] {
			t.Cells[k] = t.Cells[k].Plus(s)
		}
	}
	for k, s := range b.Totals.Fine {
		job := b.Yard.Jobs[k.Job]
		if job == nil || !touched[estimate.Key{Hull: k.Hull, Stage: job.Stage, Purpose: job.Purpose}] {
			continue
		}
		if !notAgreed(b.Yard, job, b.Day) {
			t.Fine[k] = s
			continue
		}
		cell := costing.Cell{Hull: k.Hull, Stage: job.Stage, Element: k.Element, Purpose: job.Purpose, Period: k.Period}
		c := t.Cells[cell]
		c.Seconds -= s.Seconds
		c.Amount -= s.Amount
		t.Cells[cell] = c
	}
	return t
}

// JobCosts lists what a hull's jobs have cost, the dearest first; keep chooses
// the jobs.
func JobCosts(b *Books, hull string, keep func(*costing.Job) bool) []JobCost {
	byJob := map[string]*JobCost{}
	for k, s := range b.Totals.Fine {
		job := b.Yard.Jobs[k.Job]
		if k.Hull != hull || job == nil || !keep(job) {
			continue
		}
		j := byJob[k.Job]
		if j == nil {
			j = &JobCost{Job: job}
			byJob[k.Job] = j
		}
		j.Seconds += s.Seconds
		j.Cost += s.Amount
	}
	list := make([]JobCost, 0, len(byJob))
	for _, j := range byJob {
		list = append(list, *j)
	}
	slices.SortFunc(list, func(x, y JobCost) int {
		return cmp.Or(cmp.Compare(y.Cost, x.Cost), cmp.Compare(x.Job.Key, y.Job.Key))
	})
	return list
}

func (h *Hull) changes(b *Books, open map[jobOf]costing.Sums) error {
	costs := JobCosts(b, h.Hull.Key, func(j *costing.Job) bool { return j.Change != "" })
	for _, c := range b.Yard.Changes {
		if c.Hull != h.Hull.Key {
			continue
		}
		price, err := b.Yard.Currency.Convert(c.Price, h.Hull.PriceRate)
		if err != nil {
			return err
		}
		change := Change{Change: c, Counts: c.Counts(b.Day), Price: price}
		if change.Estimate, err = estimated(b, h.Hull.Key, c); err != nil {
			return err
		}
		for _, j := range costs {
			if j.Job.Change == c.Key {
				change.Jobs = append(change.Jobs, j)
				change.Cost += j.Cost
				change.Seconds += j.Seconds
			}
		}
		h.Changes = append(h.Changes, change)
	}
	slices.SortFunc(h.Changes, func(x, y Change) int { return cmp.Compare(x.Key, y.Key) })
	return nil
}

// estimated is what a change's lines come to, as if it were agreed.
func estimated(b *Books, hull string, c *costing.Change) (sum costing.Money, err error) {
	agreed := *c
	agreed.Status, agreed.AgreedOn = costing.Agreed, nil
	yard := *b.Yard
	yard.Changes = map[string]*costing.Change{c.Key: &agreed}
	yard.Estimate = nil
	for _, l := range b.linesOf(hull) {
		if l.Change == c.Key || l.Change == "" && b.Yard.Jobs[l.Job].Change == c.Key {
			yard.Estimate = append(yard.Estimate, l)
		}
	}
	for k, row := range estimate.Build(&yard, b.Day).Rows {
		if k.Hull == hull {
			m, err := worth(row, nil)
			if err != nil {
				return 0, err
			}
			sum += m
		}
	}
	return sum, nil
}
