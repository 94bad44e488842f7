package costing

import (
	"errors"
	"math/bits"
	"slices"
)

// ErrNoWeights says that there was nothing to divide over.
var ErrNoWeights = errors.New("dividing needs at least one weight above zero")

// Apportion divides total over the weights by the largest remainder; ties go
// to the earlier share. The shares add up to total. Weights must not be
// negative, and one must be above zero.
func Apportion(total int64, weights []int64) ([]int64, error) {
	var sum int64
	for _, w := range weights {
		if w < 0 {
			return nil, ErrNoWeights
		}
		var err error
		if sum, err = addChecked(sum, w); err != nil {
			return nil, err
		}
	}
	if sum == 0 {
		return nil, ErrNoWeights
	}
	shares := make([]int64, len(weights))
	remainders := make([]uint64, len(weights))
	order := make([]int, len(weights))
	left := magnitude(total)
	for i, w := range weights {
		hi, lo := bits.Mul64(magnitude(total), uint64(w))
		q, r := bits.Div64(hi, lo, uint64(sum)) // w ≤ sum, so the quotient fits
		shares[i], remainders[i], order[i] = int64(q), r, i
		left -= q
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case remainders[a] > remainders[b]:
			return -1
		case remainders[a] < remainders[b]:
			return 1
		}
		return 0
	})
	for _, i := range order[:left] {
		shares[i]++
	}
	if total < 0 {
		for i := range shares {
			shares[i] = -shares[i]
		}
	}
	return shares, nil
}
