package stock_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/stock"
)

func on(d costing.Date) *costing.Date { return &d }

// What expires first goes first, an opened pail by its open life; what is held,
// expired or used up comes last.
func TestFirstOut(t *testing.T) {
	y := newYard(costing.Measured)
	y.Zone = zone
	y.Items["glass"].OpenLife = 5
	day := costing.Date(100)
	at := func(d int) costing.Instant { return costing.Instant(d) * 86_400_000 }
	stand := func(key string, left costing.Quantity, expires *costing.Date, opened costing.Instant, set func(*costing.Lot)) stock.Standing {
		l := &costing.Lot{Key: key, Item: "glass", Expires: expires, Received: at(1)}
		if set != nil {
			set(l)
		}
		s := stock.Stand(y, l, &stock.Shelf{Received: left, Opened: opened}, at(100))
		return s
	}
	held := func(l *costing.Lot) { l.Holds = []costing.Hold{{At: at(2), On: true}} }
	list := []stock.Standing{
		stand("expired", unit, on(99), 0, nil),
		stand("keeps", unit, nil, 0, nil),
		stand("held", unit, on(101), 0, held),
		stand("empty", 0, on(100), 0, nil),
		stand("late", unit, on(300), 0, nil),
		stand("today", unit, on(100), 0, nil),
		stand("opened long ago", unit, on(300), at(90), nil),
		stand("opened", unit, on(300), at(98), nil),
		stand("offcut", unit, on(300), 0, func(l *costing.Lot) { l.Parent = "late" }),
		stand("released", unit, on(200), 0, func(l *costing.Lot) {
			l.Holds = []costing.Hold{{At: at(2), On: true}, {At: at(3)}, {At: at(101), On: true}}
		}),
	}
	rapid.Check(t, func(t *rapid.T) {
		mixed := rapid.Permutation(list).Draw(t, "order")
		stock.FirstOut(mixed, day)
		var got []string
		for _, s := range mixed {
			got = append(got, s.Lot.Key)
		}
		assert.Equal(t, []string{"today", "opened", "released", "offcut", "late", "keeps", "opened long ago", "expired", "held", "empty"}, got)
	})
	assert.Equal(t, on(103), list[7].Best, "three days are left of five")
	assert.Equal(t, on(95), list[6].Best)
	assert.True(t, list[6].Expired(day))
	assert.False(t, list[5].Expired(day), "the last day itself is good")
}
