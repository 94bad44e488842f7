package forecast

import "math"

// Lesson is what the hours of one model's hulls in one stage teach the next.
// Hours are seconds here, in the order the hulls were built.
type Lesson struct {
	Hulls     int
	Mean      int64
	Low, High int64 // of the hulls themselves
	// Learned says that the hours fall from hull to hull by more than they
	// scatter, with 95 % confidence. Only then do the rest mean anything.
	Learned           bool
	Curve             []int64 // the curve at hull 1, 2, 3 … and the next
	PerMille          int     // of the hours, left by each doubling of the number of hulls
	Next              int64
	NextLow, NextHigh int64 // in 95 of 100 cases
}

const sure = 0.95

// Learn looks for a learning curve (the unit model: what a hull takes, not the
// average of all so far, is what the next is planned by).
func Learn(seconds []int64) Lesson {
	l := Lesson{Hulls: len(seconds)}
	if len(seconds) == 0 {
		return l
	}
	hours := make([]float64, len(seconds))
	l.Low, l.High = seconds[0], seconds[0]
	var sum int64
	for i, s := range seconds {
		hours[i] = float64(s) / 3600
		sum += s
		l.Low, l.High = min(l.Low, s), max(l.High, s)
	}
	l.Mean = sum / int64(len(seconds))
	c, err := FitCurve(UnitHours, hours)
	if err != nil || !c.Falls(sure) {
		return l
	}
	n := len(hours) + 1
	low, high, ok := c.Interval(n, sure)
	if !ok || math.IsInf(high, 0) || high > math.MaxInt32 {
		return l
	}
	whole := func(hours float64) int64 { return int64(math.Round(hours * 3600)) }
	for i := 1; i <= n; i++ {
		l.Curve = append(l.Curve, whole(c.Hours(i)))
	}
	l.Learned, l.PerMille = true, int(math.Round(c.Rate()*1000))
	l.Next, l.NextLow, l.NextHigh = whole(c.Hours(n)), whole(low), whole(high)
	return l
}

// Falls reports whether the hours fall from hull to hull by more than chance
// would have it, with the given confidence (a t-test of the slope).
func (c *LearningCurve) Falls(confidence float64) bool {
	if !c.Carried() || c.Slope >= 0 || c.squaresX == 0 {
		return false
	}
	return -c.Slope > studentT(c.Hulls-2, confidence)*c.standardError/math.Sqrt(c.squaresX)
}
