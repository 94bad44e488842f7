package costingtest

import (
	"fmt"
	"math/big"
	"strings"
)

// num reads a decimal; blank is zero.
func num(s string) *big.Rat {
	if s == "" {
		return new(big.Rat)
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic(fmt.Sprintf("costingtest: %q is no number", s))
	}
	return r
}

func whole(n int64) *big.Rat       { return new(big.Rat).SetInt64(n) }
func add(a, b *big.Rat) *big.Rat   { return new(big.Rat).Add(a, b) }
func sub(a, b *big.Rat) *big.Rat   { return new(big.Rat).Sub(a, b) }
func neg(a *big.Rat) *big.Rat      { return new(big.Rat).Neg(a) }
func quo(a, b *big.Rat) *big.Rat   { return new(big.Rat).Quo(a, b) }
func hours(seconds int64) *big.Rat { return big.NewRat(seconds, 3600) }

func mul(first *big.Rat, more ...*big.Rat) *big.Rat {
	product := new(big.Rat).Set(first)
	for _, m := range more {
		product.Mul(product, m)
	}
	return product
}

// sum adds up in place: the cells of the tables here grow by it.
func sum[K comparable](cells map[K]*big.Rat, k K, by *big.Rat) {
	if cells[k] == nil {
		cells[k] = new(big.Rat)
	}
	cells[k].Add(cells[k], by)
}

// round gives the nearest whole number, half away from zero.
func round(r *big.Rat) int64 {
	twice := new(big.Int).Mul(new(big.Int).Abs(r.Num()), big.NewInt(2))
	twice.Add(twice, r.Denom())
	twice.Quo(twice, new(big.Int).Mul(r.Denom(), big.NewInt(2)))
	return twice.Int64() * int64(r.Sign()) // what rounds to nought has no sign to lose
}

// split divides an amount over weights by largest remainder, ties to the
// earlier; what is negative is divided as its mirror image.
func split(amount int64, weights []*big.Rat) []int64 {
	parts := make([]int64, len(weights))
	if amount < 0 {
		for i, part := range split(-amount, weights) {
			parts[i] = -part
		}
		return parts
	}
	total := new(big.Rat)
	for _, w := range weights {
		total.Add(total, w)
	}
	rest := make([]*big.Rat, len(weights))
	left := amount
	for i, w := range weights {
		exact := quo(mul(whole(amount), w), total)
		parts[i] = new(big.Int).Quo(exact.Num(), exact.Denom()).Int64()
		rest[i] = sub(exact, whole(parts[i]))
		left -= parts[i]
	}
	for ; left > 0; left-- {
		best := 0
		for i := range rest {
			if rest[i].Cmp(rest[best]) > 0 {
				best = i
			}
		}
		parts[best]++
		rest[best] = whole(-1)
	}
	return parts
}

// sixPlaces rounds a quantity to the six places it may have.
func sixPlaces(q *big.Rat) *big.Rat { return big.NewRat(round(mul(q, whole(million))), million) }

const million = 1_000_000

// splitQuantity divides a quantity as amounts are divided, to six places.
func splitQuantity(q *big.Rat, weights []*big.Rat) []*big.Rat {
	parts := []*big.Rat{}
	for _, part := range split(round(mul(q, whole(million))), weights) {
		parts = append(parts, big.NewRat(part, million))
	}
	return parts
}

// running rounds a series so that it adds up to the rounded whole.
type running struct {
	exact *big.Rat
	given int64
}

func (r *running) next(exact *big.Rat) int64 {
	if r.exact == nil {
		r.exact = new(big.Rat)
	}
	r.exact.Add(r.exact, exact)
	step := round(r.exact) - r.given
	r.given += step
	return step
}

// Money writes whole minor units as a decimal.
func (o *Oracle) Money(minor int64) string {
	return new(big.Rat).SetFrac(big.NewInt(minor), o.scale().Num()).FloatString(o.digits)
}

func (o *Oracle) scale() *big.Rat { return num("1" + strings.Repeat("0", o.digits)) }

// minor rounds an exact amount of the currency to its minor units.
func (o *Oracle) minor(exact *big.Rat) int64 { return round(mul(exact, o.scale())) }
