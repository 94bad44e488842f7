package conformance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// testStated: what an estimator states is the forecast from its instant on, and
// not before it.
func testStated(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	rest := func(at costing.Instant) (sum costing.Money) {
		require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
			f, err := tx.Figures(t.Context(), at)
			if err != nil {
				return err
			}
			cost, err := f.Cost()
			for i := range cost.Margins {
				sum += cost.Margins[i].ToComplete
			}
			return err
		}))
		return sum
	}
	at, amount := Now-5000, models.Decimal(77_000_000_000)
	before, then := rest(Now), rest(at-1)
	files, err := models.FilesOf(models.StatedRow{
		Hull: "H1", Stage: "LAM", Element: "bought-in", Purpose: "build", At: at, ToComplete: &amount, Who: "Ines Quarte", Why: "the rig is dearer",
	})
	require.NoError(t, err)
	_, err = s.Enter(t.Context(), files, models.LoadOptions{Now: Now, Who: "test"})
	require.NoError(t, err)
	assert.NotEqual(t, before, rest(Now))
	assert.Equal(t, then, rest(at-1), "the past foresaw what it foresaw")
	assert.Contains(t, dump(t, s)["stated.csv"], "the rig is dearer")
	checked(t, "stated", s)
}
