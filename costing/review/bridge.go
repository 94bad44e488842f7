package review

import "hulltally/costing"

// Step is one step of the way from one margin to another. Gain is what it does
// to the margin: below nought it takes from it.
type Step struct {
	Theme    Theme
	Gain     costing.Money
	From, To costing.Money // the margin before and after
}

// Bridge is the way from the margin signed for to the margin forecast. Steps
// of nothing are left out.
type Bridge struct {
	Signed, Estimated, Forecast costing.Money
	Steps                       []Step
}

// Bridge works the way out: agreed changes first, then what was spent beyond
// what the work done allows, by theme, then what the rest will take beyond its
// estimate. The steps add up, to the cent.
func (h *Hull) Bridge() Bridge {
	br := Bridge{Signed: h.SignedMargin(), Estimated: h.EstimatedMargin(), Forecast: h.Margin.Margin}
	at := br.Signed
	step := func(t Theme, gain costing.Money) {
		if gain != 0 {
			br.Steps = append(br.Steps, Step{t, gain, at, at + gain})
			at += gain
		}
	}
	step(Agreed, br.Estimated-br.Signed)
	sum := h.Split()
	for _, t := range Themes {
		step(t, -sum[t])
	}
	var rest costing.Money
	for i := range h.Stages {
		rest += h.Stages[i].StillToDo()
	}
	step(StillToDo, -rest)
	return br
}

// Split adds the stages' variances up by theme.
func (h *Hull) Split() Split {
	sum := Split{}
	for i := range h.Stages {
		for t, m := range h.Stages[i].Split {
			sum[t] += m
		}
	}
	return sum
}
