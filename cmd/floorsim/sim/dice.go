package sim

import (
	"math/rand/v2"

	"hulltally/costing"
)

// million is the scale of every decimal, as in costing.
const million = costing.Million

// dice is the only source of chance. It deals integers, never floats, so that
// every machine writes the same bytes.
type dice struct{ *rand.Rand }

// newDice deals for one purpose: purposes do not disturb one another.
func newDice(seed, purpose uint64) dice {
	return dice{rand.New(rand.NewPCG(seed, purpose*0x9e3779b97f4a7c15+1))}
}

// perMille is true in n of 1000 draws.
func (d dice) perMille(n int) bool { return d.IntN(1000) < n }

// between is a number from lo to hi, both included.
func (d dice) between(lo, hi int) int { return lo + d.IntN(hi-lo+1) }

// around is v times a draw from lo to hi thousandths.
func (d dice) around(v int64, lo, hi int) int64 { return share(v, d.between(lo, hi)) }

// share is v × perMille / 1000, rounded half away from zero.
func share(v int64, perMille int) int64 { return mulDiv(v, int64(perMille), 1000) }

// mulDiv is a × b / c rounded half away from zero. An overflow is a mistake of
// the tables in this package.
func mulDiv(a, b, c int64) int64 {
	v, err := costing.MulRound(a, b, c)
	if err != nil {
		panic("sim: " + err.Error())
	}
	return v
}

// roundTo rounds v to a multiple of step, half up.
func roundTo(v, step int64) int64 { return (v + step/2) / step * step }

// cents rounds millionths of a currency unit to whole cents.
func cents(v int64) int64 { return roundTo(v, million/100) }
