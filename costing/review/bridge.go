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
// the estimate, by theme, then what the rest of the work will take beyond its
// own. The steps add up, to the cent.
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
	sum := h.Final()
	for _, t := range Themes {
		step(t, -sum[t])
	}
	step(StillToDo, -sum[StillToDo])
	return br
}

// Split adds the stages' variances to date up by theme.
func (h *Hull) Split() Split { return h.sum(func(s *Stage) Split { return s.Split }) }

// Final adds up by theme what the stages will have cost beyond their estimate.
func (h *Hull) Final() Split { return h.sum(func(s *Stage) Split { return s.Final }) }

func (h *Hull) sum(of func(*Stage) Split) Split {
	sum := Split{}
	for i := range h.Stages {
		for t, m := range of(&h.Stages[i]) {
			sum[t] += m
		}
	}
	return sum
}
