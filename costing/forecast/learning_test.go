package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hulltally/costing/forecast"
)

// Horngren, Cost Accounting, ch. 10: a first boat of 10 000 h on an 85 % curve;
// by the unit model eight boats take 59 358 h together.
func TestLearnFindsThePublishedCurve(t *testing.T) {
	stated := forecast.StatedCurve(forecast.UnitHours, 10_000, 0.85)
	var seconds []int64
	for n := 1; n <= 8; n++ {
		seconds = append(seconds, int64(stated.Hours(n)*3600+0.5))
	}
	l := forecast.Learn(seconds)
	assert.True(t, l.Learned)
	assert.Equal(t, 850, l.PerMille)
	var total int64
	for _, s := range l.Curve[:8] {
		total += s
	}
	assert.InDelta(t, 59_358, float64(total)/3600, 1)
	assert.InDelta(t, stated.Hours(9), float64(l.Next)/3600, 0.01)
	assert.Len(t, l.Curve, 9)
}

// The 80 % table of operations-management texts: .800, .702, .640 of the first.
func TestLearnFindsTheTable(t *testing.T) {
	l := forecast.Learn([]int64{3_600_000, 2_880_000, 2_527_200, 2_304_000})
	assert.True(t, l.Learned)
	assert.InDelta(t, 800, l.PerMille, 1)
	assert.LessOrEqual(t, l.NextLow, l.Next)
	assert.LessOrEqual(t, l.Next, l.NextHigh)
}

func TestLearnSaysNothingOfChance(t *testing.T) {
	for name, seconds := range map[string][]int64{
		"none": nil, "one": {3600}, "two fall": {7200, 3600}, "rising": {3600, 5400, 7200, 9000}, "scattered": {3600, 9000, 3000, 9100, 3500},
		"nought": {3600, 0, 3600}, "equal": {3600, 3600, 3600},
	} {
		l := forecast.Learn(seconds)
		assert.False(t, l.Learned, name)
		assert.Equal(t, len(seconds), l.Hulls, name)
	}
	l := forecast.Learn([]int64{3600, 9000, 3000})
	assert.Equal(t, []int64{5200, 3000, 9000}, []int64{l.Mean, l.Low, l.High})
}
