package forecast

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/variance"
)

// Margin is a hull's contract against its forecast.
type Margin struct {
	Hull             string
	Price, Changes   costing.Money // contract price and agreed changes in base currency
	Estimate, Actual costing.Money
	Allowed          costing.Money
	ToComplete       costing.Money
	AtCompletion     costing.Money
	Margin           costing.Money
}

// Share is the margin as a share of the price with changes; nil without a price.
func (m *Margin) Share() *big.Rat {
	return ratio(m.Margin, m.Price+m.Changes)
}

// Progress is earned value over the estimate (EV / BAC): the allowed cost as a
// share of the current estimate; nought without an estimate.
func (m *Margin) Progress() *big.Rat {
	if r := ratio(m.Allowed, m.Estimate); r != nil {
		return r
	}
	return new(big.Rat)
}

func ratio(a, b costing.Money) *big.Rat {
	if b == 0 {
		return nil
	}
	return big.NewRat(int64(a), int64(b))
}

// Margins works out every hull's margin at completion, by hull. Changes count
// once agreed by the day; prices convert at the contract's exchange rate.
func Margins(y *costing.Yard, day costing.Date, rows []variance.Row, cells []Cell) ([]Margin, error) {
	byHull := map[string]*Margin{}
	get := func(hull string) *Margin {
		if byHull[hull] == nil {
			byHull[hull] = &Margin{Hull: hull}
		}
		return byHull[hull]
	}
	for key, h := range y.Hulls {
		price, err := y.Currency.Convert(h.Price, h.PriceRate)
		if err != nil {
			return nil, err
		}
		get(key).Price = price
	}
	for _, c := range y.Changes {
		h := y.Hulls[c.Hull]
		if h == nil || !c.Counts(day) {
			continue
		}
		price, err := y.Currency.Convert(c.Price, h.PriceRate)
		if err != nil {
			return nil, err
		}
		get(c.Hull).Changes += price
	}
	for i := range rows {
		if y.Tools[rows[i].Hull] != nil {
			continue // what is made for several hulls has no contract
		}
		m := get(rows[i].Hull)
		m.Estimate += rows[i].Estimate
		m.Allowed += rows[i].Allowed
		m.Actual += rows[i].Actual
	}
	for i := range cells {
		if y.Tools[cells[i].Hull] != nil {
			continue
		}
		get(cells[i].Hull).ToComplete += cells[i].ToComplete()
	}
	list := make([]Margin, 0, len(byHull))
	for _, m := range byHull {
		m.AtCompletion = m.Actual + m.ToComplete
		m.Margin = m.Price + m.Changes - m.AtCompletion
		list = append(list, *m)
	}
	slices.SortFunc(list, func(a, b Margin) int { return cmp.Compare(a.Hull, b.Hull) })
	return list, nil
}
