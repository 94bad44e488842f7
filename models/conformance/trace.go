package conformance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/recall"
	"hulltally/models"
)

// testTrace follows material both ways: what a lot says went into a hull is
// what the hull says came of the lot, and nothing of a lot is lost. The one is
// folded from the lot's movements, the other read from postings and entries.
func testTrace(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads, 1000)
	for _, at := range []string{"2026-05-08T22:59:59.999Z", "2026-06-10T00:00:00Z"} {
		require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
			f, err := tx.Figures(t.Context(), mustInstant(at))
			require.NoError(t, err)
			forth, back := map[recall.Row]int{}, map[recall.Row]int{}
			for key, lot := range f.Yard.Lots {
				rows, err := tx.TraceLots(t.Context(), f, "", key)
				require.NoError(t, err)
				var all costing.Quantity
				for _, r := range rows {
					if r.Lot != key {
						continue // an offcut, followed by itself too
					}
					all += r.Quantity
					if r.Place == recall.Aboard {
						forth[r]++
					}
				}
				if lot.Received <= f.At {
					assert.Equal(t, lot.Quantity, all, "lot %s at %s", key, at)
				} else {
					assert.Zero(t, all, "lot %s had not come at %s", key, at)
				}
			}
			for hull := range f.Yard.Hulls {
				rows, err := tx.TraceHull(t.Context(), f, hull)
				require.NoError(t, err)
				for _, r := range rows {
					if r.Place == recall.Aboard {
						back[r]++
					}
				}
			}
			assert.NotEmpty(t, forth)
			assert.Equal(t, forth, back, at)

			_, err = tx.TraceLots(t.Context(), f, "no such batch", "")
			assert.ErrorContains(t, err, "no lot bears")
			_, err = tx.TraceLots(t.Context(), f, "", "no such lot")
			assert.ErrorContains(t, err, "there is no lot")
			_, err = tx.TraceHull(t.Context(), f, "no such hull")
			assert.ErrorContains(t, err, "there is no hull")
			return nil
		}))
	}
}
