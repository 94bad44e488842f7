package sim

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"

	"hulltally/costing"
	books "hulltally/costing/stock"
	"hulltally/models"
)

// StockError is how far the books of an item are from what really happened,
// over lots that were counted, each up to its last count.
type StockError struct {
	Item     string
	Unit     costing.Unit
	Factored bool
	Lots     int
	Used     costing.Quantity // what really left the shelf
	// Before and After are the books less the truth, without the differences
	// that counts found and with them: summed over the item, and as the sum of
	// what each job is charged wrongly, or not at all.
	Before, After       costing.Quantity
	JobBefore, JobAfter costing.Quantity
}

type itemJob struct{ item, job string }

// CompareStock holds the books of a store that loaded this yard against the
// truth that only the simulation knows.
func (w *World) CompareStock(ctx context.Context, tx *models.Tx, at costing.Instant) ([]StockError, error) {
	f, err := tx.Figures(ctx, at)
	if err != nil {
		return nil, err
	}
	errs := map[string]*StockError{}
	last := map[string]costing.Instant{}
	before, after := map[itemJob]costing.Quantity{}, map[itemJob]costing.Quantity{}
	for _, key := range slices.Sorted(maps.Keys(f.Yard.Lots)) {
		lot := f.Yard.Lots[key]
		if len(lot.Counts) == 0 {
			continue
		}
		last[key] = lot.Counts[len(lot.Counts)-1].At
		item := f.Yard.Items[lot.Item]
		e := errs[lot.Item]
		if e == nil {
			e = &StockError{Item: lot.Item, Unit: item.StockUnit, Factored: item.WasteMode == costing.Factored}
			errs[lot.Item] = e
		}
		e.Lots++
		story, err := tx.LotStory(ctx, f, key)
		if err != nil {
			return nil, err
		}
		for i := range story.Movements {
			e.book(&story.Movements[i], last[key], before, after)
		}
	}
	for fact := range w.Truth() {
		t, counted := last[fact.Lot]
		if !counted || fact.From > t {
			continue
		}
		item := f.Yard.Lots[fact.Lot].Item
		e := errs[item]
		e.Used += fact.Left
		e.Before -= fact.Left
		e.After -= fact.Left
		if fact.Job != "" {
			before[itemJob{item, fact.Job}] -= fact.Left
			after[itemJob{item, fact.Job}] -= fact.Left
		}
	}
	for k, q := range before {
		errs[k.item].JobBefore += max(q, -q)
	}
	for k, q := range after {
		errs[k.item].JobAfter += max(q, -q)
	}
	list := make([]StockError, 0, len(errs))
	for _, e := range errs {
		list = append(list, *e)
	}
	slices.SortFunc(list, func(a, b StockError) int { return cmp.Compare(a.Item, b.Item) })
	return list, nil
}

// book counts a movement of the books in, up to the lot's last count.
func (e *StockError) book(m *models.Movement, last costing.Instant, before, after map[itemJob]costing.Quantity) {
	if m.At > last || m.Kind == books.Receipt || m.Kind == books.Waste {
		return
	}
	e.After += m.Drawn
	for _, s := range m.Shares {
		after[itemJob{e.Item, s.Job}] += s.Quantity
	}
	if m.Kind == books.Difference {
		return
	}
	e.Before += m.Drawn
	if m.Job != "" {
		before[itemJob{e.Item, m.Job}] += m.Drawn
		after[itemJob{e.Item, m.Job}] += m.Drawn
	}
}

// PartOf is an error as a share of what was used, in ten-thousandths.
func (e *StockError) PartOf(q costing.Quantity) int64 {
	if e.Used <= 0 {
		return 0
	}
	return int64(max(q, -q)) / (int64(e.Used)/10_000 + 1)
}

// WriteStockErrors prints the comparison for people.
func WriteStockErrors(out io.Writer, list []StockError) error {
	tw := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "item\tunit\tlots\treally used\toff before counts\toff after\tcharged to wrong jobs before\tafter\t")
	percent := func(e *StockError, q costing.Quantity) string {
		return fmt.Sprintf("%s (%d.%02d %%)", q, e.PartOf(q)/100, e.PartOf(q)%100)
	}
	for i := range list {
		e := &list[i]
		fmt.Fprintf(tw, "%s\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t\n", e.Item, e.Unit, e.Lots, e.Used, percent(e, e.Before), percent(e, e.After),
			percent(e, e.JobBefore), percent(e, e.JobAfter))
	}
	return tw.Flush()
}
