package costing_test

import (
	"math"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

func TestApportion(t *testing.T) {
	for _, c := range []struct {
		name    string
		total   int64
		weights []int64
		want    []int64
	}{
		// Largest remainder, widely taught: 3.5, 2.1, 1.4 seats.
		{"seven seats", 7, []int64{50, 30, 20}, []int64{4, 2, 1}},
		{"ties to the earlier", 100, []int64{1, 1, 1}, []int64{34, 33, 33}},
		{"two over", 101, []int64{1, 1, 1}, []int64{34, 34, 33}},
		{"a negative amount mirrors", -100, []int64{1, 1, 1}, []int64{-34, -33, -33}},
		{"no weight, no share", 10, []int64{0, 3, 0, 1}, []int64{0, 8, 0, 2}},
		{"one bears all", 10, []int64{5}, []int64{10}},
		{"nothing to divide", 0, []int64{1, 2}, []int64{0, 0}},
		{"fewer cents than shares", 2, []int64{1, 1, 1, 1}, []int64{1, 1, 0, 0}},
		{"the largest", math.MaxInt64, []int64{math.MaxInt64}, []int64{math.MaxInt64}},
		{"the smallest", math.MinInt64, []int64{1}, []int64{math.MinInt64}},
	} {
		got, err := costing.Apportion(c.total, c.weights)
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: Apportion(%d, %v) = %v, %v; want %v", c.name, c.total, c.weights, got, err, c.want)
		}
	}
}

// Among many equal weights, more than a sort moves one by one, the earlier
// still come first.
func TestManyTies(t *testing.T) {
	weights := make([]int64, 50)
	for i := range weights {
		weights[i] = 1 + int64(i%2)
	}
	// 75 parts of 80: each exact part is 1.07 or 2.13, so the five left over go
	// to the first five of the heavier.
	got, err := costing.Apportion(80, weights)
	if err != nil {
		t.Fatal(err)
	}
	for i, share := range got {
		want := weights[i]
		if i%2 == 1 && i < 10 {
			want++
		}
		if share != want {
			t.Errorf("share %d is %d, want %d", i, share, want)
		}
	}
}

func TestApportionRefuses(t *testing.T) {
	for _, weights := range [][]int64{nil, {}, {0, 0}, {1, -1}, {-5}, {math.MaxInt64, 1}} {
		if got, err := costing.Apportion(10, weights); err == nil {
			t.Errorf("Apportion(10, %v) = %v, want an error", weights, got)
		}
	}
}

// The shares add up, none is more than one from its exact part, an equal
// weight never gets less for standing earlier, and a larger remainder is
// served first.
func TestApportionAddsUp(t *testing.T) {
	weight := rapid.OneOf(rapid.Int64Range(0, 10), rapid.Int64Range(0, math.MaxInt64/20))
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Int64().Draw(t, "total")
		weights := rapid.SliceOfN(weight, 1, 20).Draw(t, "weights")
		var all int64
		for _, w := range weights {
			all += w
		}
		shares, err := costing.Apportion(total, weights)
		if all == 0 {
			if err == nil {
				t.Fatalf("Apportion(%d, %v) = %v without a weight", total, weights, shares)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		sum := new(big.Int)
		over := make([]*big.Int, len(shares)) // (share × all − total × weight), its sign that of total
		for i, share := range shares {
			sum.Add(sum, big.NewInt(share))
			over[i] = new(big.Int).Mul(big.NewInt(share), big.NewInt(all))
			over[i].Sub(over[i], new(big.Int).Mul(big.NewInt(total), big.NewInt(weights[i])))
			if over[i].CmpAbs(big.NewInt(all)) >= 0 {
				t.Fatalf("share %d of Apportion(%d, %v) = %v is off by one or more", i, total, weights, shares)
			}
			if total < 0 {
				over[i].Neg(over[i])
			}
		}
		if sum.Cmp(big.NewInt(total)) != 0 {
			t.Fatalf("Apportion(%d, %v) = %v adds up to %s", total, weights, shares, sum)
		}
		// A share rounded up has a remainder of all − over, one rounded down of
		// −over: whoever went up had at least the remainder of whoever didn't.
		for i, up := range over {
			for j, down := range over {
				if up.Sign() <= 0 || down.Sign() >= 0 {
					continue
				}
				remUp, remDown := new(big.Int).Sub(big.NewInt(all), up), new(big.Int).Neg(down)
				if c := remUp.Cmp(remDown); c < 0 || c == 0 && i > j {
					t.Fatalf("Apportion(%d, %v) = %v served share %d before %d", total, weights, shares, i, j)
				}
			}
		}
	})
}
