package handlers

import (
	"maps"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/recall"
	"hulltally/models"
)

// traceTable follows a batch or lot to every hull, or lists every batch of a
// hull; asked for nothing, of all hulls.
func traceTable(a *asked) (*Table, error) {
	rows, err := a.traced()
	if err != nil {
		return nil, err
	}
	t := a.table(text("item", "item"), text("lot", "lot"), text("supplier_batch", "supplier batch"), text("place", "place"), text("hull", "hull"),
		text("stage", "stage"), text("job", "job"), text("part", "part"), text("worker", "worker"), text("date", "date"),
		number("quantity", "quantity"), number("waste", "waste"), text("unit", "unit"), text("received", "received"), text("expires", "expires"))
	t.Note = traceNote
	for i := range rows {
		r := &rows[i]
		var unit string
		if it := a.figures.Yard.Items[r.Item]; it != nil {
			unit = string(it.StockUnit)
		}
		t.Rows = append(t.Rows, []any{
			r.Item, r.Lot, r.Batch, string(r.Place), r.Hull, r.Stage, r.Job, r.Part, r.Worker, dateOr(r.Day, r.Place == recall.Aboard),
			r.Quantity.String(), r.Waste.String(), unit, r.Received.String(), dateOr(r.Expires, r.Expires != costing.FromStart),
		})
	}
	return t, nil
}

const traceNote = "Quantity is what left the lot for that place; what was returned is taken off. Waste is what was weighed of it and is not aboard. " +
	"The quantities of a lot come to what was received."

func dateOr(d costing.Date, there bool) string {
	if !there {
		return ""
	}
	return d.String()
}

func (a *asked) traced() (rows []recall.Row, err error) {
	switch {
	case a.Lot != "" && a.Batch != "":
		return nil, models.Errorf(models.Invalid, "a lot and a batch are asked for: name one of them")
	case a.Lot != "" || a.Batch != "":
		rows, err = a.tx.TraceLots(a.ctx, a.figures, a.Batch, a.Lot)
		if a.Hull != "" {
			rows = slices.DeleteFunc(rows, func(r recall.Row) bool { return r.Hull != a.Hull })
		}
		return rows, err
	case a.Hull != "":
		return a.tx.TraceHull(a.ctx, a.figures, a.Hull)
	}
	for _, hull := range slices.Sorted(maps.Keys(a.figures.Yard.Hulls)) {
		of, err := a.tx.TraceHull(a.ctx, a.figures, hull)
		if err != nil {
			return nil, err
		}
		rows = append(rows, of...)
	}
	return rows, nil
}

// orderTable is what the open jobs still expect, and what of it to order.
func orderTable(a *asked) (*Table, error) {
	list, err := a.figures.Need()
	if err != nil {
		return nil, err
	}
	t := a.table(text("item", "item"), text("unit", "unit"), text("week", "week"), number("need", "need"), number("from_stock", "from stock"),
		number("to_order", "to order"), money("value", "value"), text("hulls", "hulls"))
	t.Note = orderNote + " Asked for a hull, it gives the weeks in which that hull wants something, with the need of all."
	for i := range list {
		for j := range list[i].Weeks {
			w, it := &list[i].Weeks[j], list[i].Item
			hulls := map[string]bool{}
			wanted := false
			for _, l := range w.Lines {
				for _, s := range l.Job.Shares {
					hulls[s.Hull] = true
				}
				wanted = wanted || a.shares(l.Job)
			}
			if !wanted {
				continue
			}
			value, err := costing.RoundRat(a.figures.Yard.Currency.Extend(w.ToOrder, it.StandardPrice))
			if err != nil {
				return nil, err
			}
			t.Rows = append(t.Rows, []any{
				it.Key, string(it.StockUnit), w.Monday.Week(), w.Need.String(), w.FromStock.String(), w.ToOrder.String(), a.money(costing.Money(value)),
				strings.Join(slices.Sorted(maps.Keys(hulls)), ";"),
			})
		}
	}
	return t, nil
}

const orderNote = "Need is the estimate with its allowance less what was issued, of jobs not stated done. A stage that has begun wants its material now; the others are spread " +
	"to the hull's due date in the order of stages, by standard hours. Stock is used first expired first out, and only where it lasts the week. " +
	"It knows neither what is on order nor how long a supplier takes."
