package handlers

import (
	"hulltally/costing"
	"hulltally/costing/review"
)

// priceAt is where the price stands on every bar, in thousandths of its width:
// what runs past it is lost.
const priceAt = 800

// hullBar is a hull's cost against its price, drawn so that all prices stand
// below each other.
type hullBar struct {
	ID                     string
	Spent, Rest, RestAt    string // lengths
	Over, OverAt           string
	PriceAt, EstimateAt    string
	Price, Cost, SpentText string
	Verdict                string
	Describes              string
	Beyond                 bool // cost runs off the picture
	RestShown, OverShown   bool
}

func (g *ground) hullBar(h *review.Hull) hullBar {
	price := h.Price + h.Margin.Changes
	at := func(m costing.Money) int64 {
		if price <= 0 || m <= 0 {
			return 0
		}
		v, err := costing.MulRound(int64(m), priceAt, int64(price))
		if err != nil {
			return 1000
		}
		return min(v, 1000)
	}
	spent, end, line := at(h.Actual), at(h.AtCompletion), int64(priceAt)
	b := hullBar{
		ID: h.Hull.Key, PriceAt: length(line), EstimateAt: length(at(h.Baseline)), Beyond: end >= 1000,
		Spent: length(min(spent, line)), RestAt: length(min(spent, line)), Rest: length(max(0, min(end, line)-min(spent, line))),
		OverAt: length(line), Over: length(max(0, end-line)), RestShown: end > spent && spent < line, OverShown: end > line,
		Price: review.Whole(g.currency, price), SpentText: review.Whole(g.currency, h.Actual), Cost: review.Whole(g.currency, h.AtCompletion),
	}
	b.Describes = nameOf(h.Hull) + ": " + b.SpentText + " spent, " + review.Whole(g.currency, h.ToComplete) + " to complete, " +
		b.Cost + " at completion, against a price with agreed changes of " + b.Price + " " + g.currency.Code + "."
	return b
}
