package handlers

import (
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
)

// bridgeChart is the way from the margin signed for to the margin forecast: a
// bar for each step, hanging where the one before ended.
type bridgeChart struct {
	Height    int
	Zero      string // where nought stands
	Bars      []bridgeBar
	Describes string
	Cut       string // where the scale begins, if not at nought
}

// bridgeBar is a row of the chart: words and amount above its bar.
type bridgeBar struct {
	Label, Amount      string
	TextY, BarY, LinkY int
	X, Width, LinkX    string
	Kind               string // whole, gain or loss
	Last               bool
}

// bridgeRow is the height of a row in pixels.
const bridgeRow = 44

// bridgeChart draws the steps.
func (g *ground) bridgeChart(br *review.Bridge) bridgeChart {
	low, high := min(0, br.Signed, br.Forecast), max(0, br.Signed, br.Forecast)
	for _, s := range br.Steps {
		low, high = min(low, s.From, s.To), max(high, s.From, s.To)
	}
	least := min(br.Signed, br.Forecast)
	for _, s := range br.Steps {
		least = min(least, s.From, s.To)
	}
	cut := least > 0 && least > high/2 // small steps on long bars: show their ends
	if cut {
		low = least - (high-least)/2
	}
	span := max(high-low, 1)
	at := func(m costing.Money) int64 { return permille(m-low, span) }
	c := bridgeChart{Zero: length(at(0))}
	if cut {
		c.Cut = g.whole(low).Text
	}
	var said strings.Builder
	add := func(label string, kind string, from, to, amount costing.Money) {
		y := len(c.Bars) * bridgeRow
		left, right := min(at(from), at(to)), max(at(from), at(to))
		text := g.signed(amount).Text
		if kind == "whole" {
			text = g.whole(amount).Text
		}
		c.Bars = append(c.Bars, bridgeBar{
			Label: label, Amount: text, TextY: y + 14, BarY: y + 20, LinkY: y + bridgeRow + 20, Kind: kind,
			X: length(left), Width: length(max(right-left, 2)), LinkX: length(at(to)),
		})
		said.WriteString(label + " " + text + ". ")
	}
	add("Margin signed for", "whole", 0, br.Signed, br.Signed)
	for _, s := range br.Steps {
		kind := "gain"
		if s.Gain < 0 {
			kind = "loss"
		}
		add(s.Theme.Label(), kind, s.From, s.To, s.Gain)
	}
	add("Margin forecast", "whole", 0, br.Forecast, br.Forecast)
	c.Bars[len(c.Bars)-1].Last = true
	c.Height = len(c.Bars) * bridgeRow
	c.Describes = said.String() + "Amounts in " + g.currency.Code + "."
	return c
}

// bridgeTable is the chart's table.
func (g *ground) bridgeTable(br *review.Bridge) *grid {
	t := g.table("bridge", "From the margin signed for to the margin forecast", col("step", "Step"),
		numCol("effect", "Effect, "+g.currency.Code), numCol("margin", "Margin after it"))
	t.add(words("Margin signed for"), figure{}, g.cash(br.Signed))
	for _, s := range br.Steps {
		effect := g.cash(s.Gain)
		if s.Gain > 0 {
			effect.Text = "+" + effect.Text
		}
		t.add(words(s.Theme.Label()), effect, g.cash(s.To))
	}
	t.add(words("Margin forecast"), figure{}, g.cash(br.Forecast))
	return t
}
