package review_test

import (
	"math/big"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/review"
)

// Each point of a trend is the margin that books with no more in them than was
// dated, stated and agreed by then give; the last is today's.
func TestTrendIsWhatTheBooksOfEachMonthSay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		agreed := monday + costing.Date(rapid.IntRange(-10, 150).Draw(rt, "agreed"))
		type deed struct {
			day   costing.Date
			hours int64
			job   string
			done  int // 0 states nothing
		}
		deeds := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) deed {
			return deed{
				monday + costing.Date(rapid.IntRange(0, 170).Draw(rt, "day")), rapid.Int64Range(0, 30).Draw(rt, "hours"),
				rapid.SampledFrom([]string{"J1", "J2", "J3", "J4"}).Draw(rt, "job"), rapid.SampledFrom([]int{0, 0, 25, 50, 75, 100}).Draw(rt, "done"),
			}
		}), 0, 25).Draw(rt, "deeds")
		upTo := func(day costing.Date) (*books, []review.Statement) {
			b := newBooks()
			b.day = day
			b.y.Changes["C1"].Status, b.y.Changes["C1"].AgreedOn = costing.Agreed, &agreed
			var statements []review.Statement
			for d := monday - 30; d <= day; d++ {
				for _, x := range deeds {
					if x.day != d {
						continue
					}
					if x.hours > 0 {
						b.work(x.job, x.day, x.hours)
					}
					if x.done > 0 {
						statements = append(statements, review.Statement{Job: x.job, At: d.At(17*60, time.UTC), Percent: x.done})
						b.stated[x.job] = x.done
					}
				}
			}
			return b, statements
		}
		today := monday + 180
		b, statements := upTo(today)
		r, h := b.review(rt)
		trend, err := h.Trend(r, statements)
		require.NoError(rt, err)
		require.NotEmpty(rt, trend)
		for i, p := range trend {
			then, _ := upTo(p.Day)
			_, was := then.review(rt)
			require.Equal(rt, was.Margin, p.Margin, "at %s", p.Day)
			if i > 0 {
				require.Greater(rt, p.Day, trend[i-1].Day)
			}
		}
		require.Equal(rt, h.Margin, trend[len(trend)-1].Margin, "the last point is today's")
	})
}

func TestLookingBack(t *testing.T) {
	b := newBooks()
	b.day = monday + 120
	at := func(days costing.Date, job string, percent int) review.Statement {
		return review.Statement{Job: job, At: (monday + days).At(17*60, time.UTC), Percent: percent}
	}
	b.work("J1", monday+1, 40)
	b.work("J1", monday+40, 120)
	b.work("J2", monday+70, 150)
	b.draw("J1", 100, 0, 500)
	b.buy("fit", 1000)
	b.stated["J1"], b.stated["J2"] = 100, 100
	statements := []review.Statement{at(2, "J1", 50), at(41, "J1", 100), at(71, "J2", 100)}
	r, h := b.review(t)
	trend, err := h.Trend(r, statements)
	require.NoError(t, err)
	said := review.Sayings(trend)
	require.Len(t, said, 3)
	// June: half of J1's 3000 + 500 of 6000 in all is 1750, more than a quarter.
	assert.Equal(t, 25, said[0].Percent)
	assert.Equal(t, "2026-06-30", said[0].Day.String())
	// 40 h for half of it foresee 80 h, 2400; with 500, 1500 and 1000 that is 5400.
	assert.Equal(t, costing.Money(5400_00), said[0].AtCompletion)
	// It became 310 h at 30, 500 and 1000.
	assert.Equal(t, costing.Money(10_800_00), said[0].Became)
	assert.Equal(t, costing.Money(5400_00), said[0].Miss())
	assert.Zero(t, said[0].Share().Cmp(big.NewRat(1, 2)))
	assert.True(t, said[0].Done)
	since, losing := review.LosingSince(trend)
	assert.True(t, losing, "310 h are dearer than the price of 10 000")
	assert.Equal(t, "2026-08-31", since.String())
	before, ok := review.Before(trend)
	assert.True(t, ok)
	assert.Equal(t, trend[len(trend)-2].Margin.Margin, before)
	_, losing = review.LosingSince(trend[:1])
	assert.False(t, losing)
	assert.Empty(t, review.Sayings(nil))
}
