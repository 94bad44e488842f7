package forecast

import (
	"errors"
	"math"
)

// A learning curve is a statistic of hours, no amount of money, so its
// arithmetic is in floats. What comes of it is shown, never posted.

// CurveModel says what falls by the same share each time the number of hulls
// doubles (T. P. Wright, 1936, for the average; the unit model came later).
type CurveModel string

// The models.
const (
	CumulativeAverage CurveModel = "cumulative average" // the average hours of all hulls so far
	UnitHours         CurveModel = "unit"               // the hours of the last hull
)

// FewestHulls is how many hulls it takes to tell a curve from chance: two
// always lie on one.
const FewestHulls = 3

// Errors of fitting.
var (
	ErrFewHulls = errors.New("a learning curve needs the hours of at least 2 hulls")
	ErrNoHours  = errors.New("a learning curve needs hours above nought")
)

// LearningCurve is first × n^slope, for hull n of a model.
type LearningCurve struct {
	Model CurveModel
	First float64 // hours of hull 1
	Slope float64 // below nought where hours fall
	Hulls int     // it was fitted to; nought for a curve that was stated

	// Of the fit, in logarithms: the mean of x and its squares about that, and
	// the standard error of what the model does not explain.
	meanX, squaresX, standardError float64
}

// StatedCurve is a curve of a known rate: 0.85 where doubling leaves 85 %.
func StatedCurve(model CurveModel, first, rate float64) LearningCurve {
	return LearningCurve{Model: model, First: first, Slope: math.Log2(rate)}
}

// FitCurve fits a curve to the hours of hulls 1, 2, 3 … in the order they were
// built, by least squares on logarithms.
func FitCurve(model CurveModel, hours []float64) (LearningCurve, error) {
	c := LearningCurve{Model: model, Hulls: len(hours)}
	if len(hours) < 2 {
		return c, ErrFewHulls
	}
	n := float64(len(hours))
	ys := make([]float64, len(hours))
	var total, meanY float64
	for i, h := range hours {
		if !(h > 0) || math.IsInf(h, 1) {
			return c, ErrNoHours
		}
		total += h
		ys[i] = math.Log(h)
		if model == CumulativeAverage {
			ys[i] = math.Log(total / float64(i+1))
		}
		c.meanX += math.Log(float64(i+1)) / n
		meanY += ys[i] / n
	}
	var products float64
	for i, y := range ys {
		dx := math.Log(float64(i+1)) - c.meanX
		c.squaresX += dx * dx
		products += dx * (y - meanY)
	}
	c.Slope = products / c.squaresX
	c.First = math.Exp(meanY - c.Slope*c.meanX)
	if c.Carried() {
		var squares float64
		for i, h := range hours {
			d := math.Log(h / c.Hours(i+1))
			squares += d * d
		}
		c.standardError = math.Sqrt(squares / (n - 2))
	}
	return c, nil
}

// Carried reports whether enough hulls carry the curve for an interval.
func (c *LearningCurve) Carried() bool { return c.Hulls >= FewestHulls }

// Rate is what a doubling of the number of hulls leaves: 0.85 is an 85 % curve.
func (c *LearningCurve) Rate() float64 { return math.Exp2(c.Slope) }

// Hours is what hull n takes.
func (c *LearningCurve) Hours(n int) float64 {
	if c.Model == CumulativeAverage {
		return c.Total(n) - c.Total(n-1)
	}
	return c.First * math.Pow(float64(n), c.Slope)
}

// Total is what hulls 1 to n take together.
func (c *LearningCurve) Total(n int) float64 {
	if c.Model == CumulativeAverage {
		if n < 1 {
			return 0
		}
		return c.First * math.Pow(float64(n), 1+c.Slope)
	}
	var sum float64
	for i := 1; i <= n; i++ {
		sum += c.Hours(i)
	}
	return sum
}

// Interval is where the hours of hull n will lie with the given confidence
// (0.95 for 95 %), as one more hull like those before; ok is false where too
// few hulls carry the curve. Averages of all hulls so far hang together, so
// for the cumulative average it is an approximation.
func (c *LearningCurve) Interval(n int, confidence float64) (low, high float64, ok bool) {
	if !c.Carried() || n < 1 {
		return 0, 0, false
	}
	d := math.Log(float64(n)) - c.meanX
	width := studentT(c.Hulls-2, confidence) * c.standardError * math.Sqrt(1+1/float64(c.Hulls)+d*d/c.squaresX)
	h := c.Hours(n)
	return h * math.Exp(-width), h * math.Exp(width), true
}

// studentT is the t that a variable of Student's distribution stays within, on
// both sides, with the given probability.
func studentT(freedom int, probability float64) float64 {
	low, high := 0.0, 1.0
	for within(freedom, high) < probability && high < math.MaxFloat32 {
		high *= 2
	}
	for range 100 {
		if middle := (low + high) / 2; within(freedom, middle) < probability {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// within is the probability that Student's t lies in ±t, for whole degrees of
// freedom (M. Abramowitz and I. Stegun, 26.7.3 and 26.7.4).
func within(freedom int, t float64) float64 {
	angle := math.Atan(t / math.Sqrt(float64(freedom)))
	sin, cos := math.Sincos(angle)
	term, sum, first := 1.0, 0.0, 0
	if freedom%2 == 1 {
		term, first = cos, 1
	}
	for k := first; k <= freedom-2; k += 2 {
		sum += term
		term *= cos * cos * float64(k+1) / float64(k+2)
	}
	if freedom%2 == 1 {
		return 2 / math.Pi * (angle + sin*sum)
	}
	return sin * sum
}
