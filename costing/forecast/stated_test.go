package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

func TestStatedStandsInPlaceOfTheRule(t *testing.T) {
	money := func(m costing.Money) *costing.Money { return &m }
	said := func(at costing.Instant, rest, spent *costing.Money) costing.StatedRest {
		return costing.StatedRest{Hull: "H1", Stage: "lay", Element: costing.Labour, At: at, Rest: rest, Spent: spent, Who: "Ines Quarte", Why: "the mould is warm now"}
	}
	for name, c := range map[string]struct {
		progress int
		actual   costing.Money
		said     []costing.StatedRest
		chosen   forecast.Method
		rest     costing.Money
	}{
		"nobody":                        {50, 600, nil, forecast.AtEfficiency, 600},
		"as it stands":                  {50, 600, []costing.StatedRest{said(10, money(450), nil)}, forecast.Stated, 450},
		"nothing spent since":           {50, 600, []costing.StatedRest{said(10, money(450), money(600))}, forecast.Stated, 450},
		"what is spent since comes off": {50, 700, []costing.StatedRest{said(10, money(450), money(600))}, forecast.Stated, 350},
		"all of it and more is spent":   {50, 1500, []costing.StatedRest{said(10, money(450), money(600))}, forecast.Stated, 0},
		"the last of two":               {50, 600, []costing.StatedRest{said(10, money(450), nil), said(20, money(90), nil)}, forecast.Stated, 90},
		"taken back":                    {50, 600, []costing.StatedRest{said(10, money(450), nil), said(20, nil, nil)}, forecast.AtEfficiency, 600},
		"not stated yet":                {50, 600, []costing.StatedRest{said(101, money(450), nil)}, forecast.AtEfficiency, 600},
		"done":                          {100, 600, []costing.StatedRest{said(10, money(450), nil)}, forecast.Stated, 0},
	} {
		rows := []variance.Row{{Hull: "H1", Stage: "lay", Element: costing.Labour, Purpose: costing.Build, Estimate: 1000, Actual: c.actual}}
		cells, err := forecast.Cells(plan(new(costing.Yard)), estimate.Progress{"J1": c.progress}, rows)
		require.NoError(t, err)
		cells = forecast.Say(cells, c.said, 100)
		require.Len(t, cells, 1, name)
		assert.Equal(t, c.chosen, cells[0].Chosen, name)
		assert.Equal(t, c.rest, cells[0].ToComplete(), name)
		assert.Contains(t, cells[0].Methods, forecast.AtEstimate, "%s: the rule's figures stay beside it", name)
	}
}

// What is foreseen where nothing was estimated or spent counts all the same,
// and statements of other hulls and of rework touch nothing else.
func TestStatedWhereNothingWas(t *testing.T) {
	rest := costing.Money(800)
	said := []costing.StatedRest{
		{Hull: "H1", Stage: "fit", Element: costing.BoughtIn, At: 5, Rest: &rest},
		{Hull: "H1", Stage: "lay", Element: costing.Labour, Apart: true, At: 5, Rest: &rest},
		{Hull: "H1", Stage: "fit", Element: costing.Material, At: 5},
	}
	rows := []variance.Row{{Hull: "H1", Stage: "lay", Element: costing.Labour, Purpose: costing.Build, Estimate: 1000}}
	cells, err := forecast.Cells(plan(new(costing.Yard)), nil, rows)
	require.NoError(t, err)
	cells = forecast.Say(cells, said, 100)
	require.Len(t, cells, 3)
	var sum costing.Money
	for i := range cells {
		sum += cells[i].ToComplete()
	}
	assert.Equal(t, costing.Money(1000+800+800), sum)
	assert.Equal(t, []string{"fit", "lay", "lay"}, []string{cells[0].Stage, cells[1].Stage, cells[2].Stage}, "in order")
}
