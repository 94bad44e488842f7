package handlers

import (
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// stockTable is the stock room by item and lot. A difference is counted − book,
// so that closing = received − issued + returned − scrapped + difference; what
// was cut off as a lot of its own is received there and no longer here. The
// value of an average-costed item's pool is divided over its lots by what they
// hold.
func stockTable(a *asked) (*Table, error) {
	t := a.table(text("item", "item"), text("lot", "lot"), number("received", "received"), number("issued", "issued"),
		number("returned", "returned"), number("scrapped", "scrapped"), number("difference", "difference"),
		number("closing", "closing"), money("value", "value"))
	for u, book := range a.figures.Books {
		lots := make([]string, 0, len(book.Lots))
		for lot := range book.Lots {
			lots = append(lots, lot)
		}
		slices.Sort(lots)
		values, err := lotValues(lots, book, a.figures.Worth(u))
		if err != nil {
			return nil, err
		}
		for i, lot := range lots {
			s := book.Lots[lot]
			t.Rows = append(t.Rows, []any{
				u.Item, lot, (s.Received - s.Cut).String(), s.Issued.String(), s.Returned.String(), s.Scrapped.String(),
				s.Difference.String(), s.Closing().String(), a.money(values[i]),
			})
		}
	}
	sortRows(t.Rows, 2)
	return t, nil
}

// lotValues divides a unit's worth over its lots by what they hold; where they
// hold nothing the first bears what is left.
func lotValues(lots []string, book *stock.Book, worth costing.Money) ([]costing.Money, error) {
	values := make([]costing.Money, len(lots))
	if len(lots) == 0 {
		return values, nil
	}
	weights, any := make([]int64, len(lots)), false
	for i, lot := range lots {
		weights[i] = max(0, int64(book.Lots[lot].Closing()))
		any = any || weights[i] > 0
	}
	if !any {
		values[0] = worth
		return values, nil
	}
	parts, err := costing.Apportion(int64(worth), weights)
	for i := range parts {
		values[i] = costing.Money(parts[i])
	}
	return values, err
}
