package month_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/month"
)

// The sources: Principles of Accounting, Volume 2, OpenStax, chapter 8.4 (1,800
// hours, variable overhead 3,500, standard 2.00 an hour, 2,000 hours allowed)
// and chapter 4 (actual 256,500, applied 250,000).
func TestPublishedOverheads(t *testing.T) {
	v, err := month.Overheads{
		Actual: 3500_00, Absorbed: 3600_00, Allowed: 4000_00, Hours: 1800 * 3600, Variable: 4000_00, PlannedHours: 2000 * 3600,
	}.Variances()
	require.NoError(t, err)
	assert.Equal(t, costing.Money(-100_00), v.Spending, "favourable")
	assert.Equal(t, costing.Money(-400_00), v.Efficiency, "favourable")
	assert.Zero(t, v.Volume)
	v, err = month.Overheads{Actual: 256_500_00, Absorbed: 250_000_00}.Variances()
	require.NoError(t, err)
	assert.Equal(t, costing.Money(6_500_00), v.Under)
}

func TestOverheadVariancesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount := func(name string) costing.Money { return costing.Money(rapid.Int64Range(0, 1<<40).Draw(t, name)) }
		o := month.Overheads{
			Actual: amount("actual"), Absorbed: amount("absorbed"), Allowed: amount("allowed"), Fixed: amount("fixed"), Variable: amount("variable"),
			Hours: rapid.Int64Range(0, 1<<30).Draw(t, "hours"), PlannedHours: rapid.Int64Range(0, 1<<30).Draw(t, "planned"),
		}
		v, err := o.Variances()
		require.NoError(t, err)
		assert.Equal(t, o.Actual-o.Allowed, v.Spending+v.Efficiency+v.Volume)
		assert.Equal(t, v.Under, v.Spending+v.Volume)
	})
}

func TestSuggestedRate(t *testing.T) {
	rate, err := month.Overheads{Actual: 110, Absorbed: 100}.Suggested(20_000_000)
	require.NoError(t, err)
	assert.Equal(t, costing.Price(22_000_000), rate)
	rate, err = month.Overheads{Actual: 110}.Suggested(20_000_000)
	require.NoError(t, err)
	assert.Equal(t, costing.Price(20_000_000), rate, "nothing was absorbed")
}

func TestAtHandover(t *testing.T) {
	c := month.Contract{Price: 1000, Cost: 400, ToComplete: 400, Billed: 300}
	s, err := c.AtHandover(false)
	require.NoError(t, err)
	assert.Equal(t, []costing.Money{0, 0, 0, -300}, []costing.Money{s.Revenue, s.Profit, s.Provision, s.Asset})
	c.ToComplete = 700
	s, err = c.AtHandover(false)
	require.NoError(t, err)
	assert.Equal(t, costing.Money(100), s.Provision, "the loss to come")
	c.Cost, c.ToComplete = 800, 0
	s, err = c.AtHandover(true)
	require.NoError(t, err)
	assert.Equal(t, []costing.Money{1000, 200, 0, 700}, []costing.Money{s.Revenue, s.Profit, s.Provision, s.Asset})
}
