package tooling_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/tooling"
)

func on(d costing.Date) *costing.Date { return &d }

// A mould of 90,000.00 for four hulls: two have used it.
func TestSpread(t *testing.T) {
	mould := &costing.Tool{Key: "M1", Planned: 4, Uses: []costing.ToolUse{
		{Hull: "H3", Uses: 1}, {Hull: "H2", Uses: 1, On: on(200)}, {Hull: "H1", Uses: 1, On: on(100)},
	}}
	s, err := tooling.Of(mould, 90_000_00, 200)
	require.NoError(t, err)
	assert.Equal(t, []tooling.Share{
		{Hull: "H1", Uses: 1, Made: true, Cost: 22_500_00}, {Hull: "H2", Uses: 1, Made: true, Cost: 22_500_00}, {Hull: "H3", Uses: 1, Cost: 22_500_00},
	}, s.Shares)
	assert.Equal(t, []costing.Money{45_000_00, 22_500_00, 22_500_00, 45_000_00}, []costing.Money{s.Charged, s.Named, s.Spare, s.Open()})
	s, err = tooling.Of(mould, 90_000_00, 199) // the second use is still to come
	require.NoError(t, err)
	assert.Equal(t, costing.Money(22_500_00), s.Charged)

	// A plan cut to two uses: H1 and H2 bear all, H3 nothing.
	mould.Planned = 2
	s, err = tooling.Of(mould, 90_000_01, 200)
	require.NoError(t, err)
	assert.Equal(t, []costing.Money{45_000_01, 45_000_00, 0}, []costing.Money{s.Shares[0].Cost, s.Shares[1].Cost, s.Shares[2].Cost})
	assert.Equal(t, int64(1), s.Shares[2].Over)
	assert.Zero(t, s.Open())

	mould.Planned = 0
	s, err = tooling.Of(mould, 90_000_00, 200)
	require.NoError(t, err)
	assert.Equal(t, costing.Money(90_000_00), s.Open(), "without a plan nothing is charged")
}

// Whatever the plan and the uses, no cent is made or lost, nobody bears more
// than the uses they make, and the plan is never charged beyond.
func TestSpreadConserves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tool := &costing.Tool{Planned: rapid.Int64Range(0, 12).Draw(t, "planned")}
		for range rapid.IntRange(0, 6).Draw(t, "hulls") {
			u := costing.ToolUse{Hull: rapid.StringMatching(`H[0-9]{3}`).Draw(t, "hull"), Uses: rapid.Int64Range(0, 5).Draw(t, "uses")}
			if rapid.Bool().Draw(t, "made") {
				u.On = on(costing.Date(rapid.Int32Range(0, 10).Draw(t, "on")))
			}
			tool.Uses = append(tool.Uses, u)
		}
		cost := costing.Money(rapid.Int64Range(-1_000, 1_000_000_000).Draw(t, "cost"))
		s, err := tooling.Of(tool, cost, 5)
		require.NoError(t, err)
		var all, charged costing.Money
		var within int64
		for _, sh := range s.Shares {
			all += sh.Cost
			within += sh.Uses - sh.Over
			if sh.Made {
				charged += sh.Cost
			}
			if sh.Uses == sh.Over {
				assert.Zero(t, sh.Cost, "a use beyond the plan bears nothing")
			}
			if tool.Planned > 0 { // no share is a cent away from its exact part
				exact := int64(cost) * (sh.Uses - sh.Over)
				off := int64(sh.Cost)*tool.Planned - exact
				assert.Less(t, max(off, -off), tool.Planned)
			}
		}
		assert.Equal(t, cost, all+s.Spare)
		assert.Equal(t, cost, s.Charged+s.Open())
		assert.Equal(t, charged, s.Charged)
		assert.Equal(t, tool.Planned, within+s.Unnamed)
	})
}

// Depreciation by use as it is widely taught: a truck of 40,000, of which 5,000
// are left after 200,000 km, bears 5,250 for 30,000 km; a machine of 100,000, of
// which 20,000 are left after a million pieces, 16,000 for 200,000 of them.
func TestPublishedUnitsOfProduction(t *testing.T) {
	for _, c := range []struct {
		cost           costing.Money
		planned, used  int64
		charged, still costing.Money
	}{
		{35_000_00, 200_000, 30_000, 5_250_00, 29_750_00},
		{80_000_00, 1_000_000, 200_000, 16_000_00, 64_000_00},
	} {
		s, err := tooling.Of(&costing.Tool{Planned: c.planned, Uses: []costing.ToolUse{{Hull: "H", Uses: c.used, On: on(1)}}}, c.cost, 1)
		require.NoError(t, err)
		assert.Equal(t, []costing.Money{c.charged, c.still}, []costing.Money{s.Charged, s.Open()})
	}
}
