package costing

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
)

// Wide is a signed 128-bit whole number: the exact intermediate between two
// 64-bit factors and a rounded posting. The zero value is 0.
type Wide struct {
	Hi int64  `json:"h,omitempty"`
	Lo uint64 `json:"l,omitempty"`
}

// WideOf is v as a Wide.
func WideOf(v int64) Wide { return Wide{Hi: v >> 63, Lo: uint64(v)} }

// Mul is a × b, exact.
func Mul(a, b int64) Wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if a|b < 0 { // taken without its sign, what is below nought is 2^64 too large
		hi -= uint64(a>>63)&uint64(b) + uint64(b>>63)&uint64(a)
	}
	return Wide{Hi: int64(hi), Lo: lo}
}

func magnitude(v int64) uint64 {
	if v < 0 {
		return uint64(-v)
	}
	return uint64(v)
}

// Add is w + x.
func (w Wide) Add(x Wide) Wide {
	lo, carry := bits.Add64(w.Lo, x.Lo, 0)
	hi, _ := bits.Add64(uint64(w.Hi), uint64(x.Hi), carry)
	return Wide{Hi: int64(hi), Lo: lo}
}

// Neg is −w.
func (w Wide) Neg() Wide {
	lo, borrow := bits.Sub64(0, w.Lo, 0)
	hi, _ := bits.Sub64(0, uint64(w.Hi), borrow)
	return Wide{Hi: int64(hi), Lo: lo}
}

// Times is w × m. It panics where 128 bits do not hold the product: callers
// bound their factors when they read them in.
func (w Wide) Times(m int64) Wide {
	negative := (w.Hi < 0) != (m < 0)
	if w.Hi < 0 {
		w = w.Neg()
	}
	um := magnitude(m)
	overHi, hi := bits.Mul64(uint64(w.Hi), um)
	carry, lo := bits.Mul64(w.Lo, um)
	hi, c := bits.Add64(hi, carry, 0)
	if overHi != 0 || c != 0 || int64(hi) < 0 {
		panic("costing: amount beyond 128 bits")
	}
	p := Wide{Hi: int64(hi), Lo: lo}
	if negative {
		p = p.Neg()
	}
	return p
}

// Round is w / den rounded half away from zero, or an error where the quotient
// is beyond ±(2^63 − 1): what is rounded may always be negated. den must be
// positive.
func (w Wide) Round(den int64) (int64, error) {
	if den <= 0 {
		panic("costing: rounding needs a positive denominator")
	}
	negative := w.Hi < 0
	if negative {
		w = w.Neg()
	}
	d := uint64(den)
	if uint64(w.Hi) >= d {
		return 0, fmt.Errorf("an amount %w", ErrTooLarge)
	}
	q, r := bits.Div64(uint64(w.Hi), w.Lo, d)
	if q > math.MaxInt64 {
		return 0, fmt.Errorf("an amount %w", ErrTooLarge)
	}
	if r >= d-r {
		q++
	}
	if q > math.MaxInt64 {
		return 0, fmt.Errorf("an amount %w", ErrTooLarge)
	}
	if negative {
		return -int64(q), nil
	}
	return int64(q), nil
}

// Big is w as a big.Int, for the few places that need more than 128 bits.
func (w Wide) Big() *big.Int {
	b := big.NewInt(w.Hi)
	b.Lsh(b, 64)
	return b.Add(b, new(big.Int).SetUint64(w.Lo))
}

// MulRound is a × b / den rounded half away from zero. den must be positive.
func MulRound(a, b, den int64) (int64, error) { return Mul(a, b).Round(den) }

// RoundRat is r rounded half away from zero, or an error where it leaves int64.
func RoundRat(r *big.Rat) (int64, error) {
	num, den := new(big.Int).Abs(r.Num()), r.Denom()
	// (2·num + den) / (2·den) is num/den rounded half up for num ≥ 0.
	num.Lsh(num, 1).Add(num, den)
	num.Quo(num, new(big.Int).Lsh(den, 1))
	if !num.IsInt64() {
		return 0, fmt.Errorf("an amount %w", ErrTooLarge)
	}
	if r.Sign() < 0 {
		return -num.Int64(), nil
	}
	return num.Int64(), nil
}
