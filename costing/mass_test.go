package costing_test

import (
	"testing"

	"hulltally/costing"
)

// Nothing is rounded before a row is whole: two items of 0.4 mg are 0.8 mg
// together, which is not nought.
func TestMassIsRoundedOnce(t *testing.T) {
	item := func(key string) *costing.Item {
		return &costing.Item{Key: key, WasteMode: costing.Measured, KgPerUnit: 400_000, AboardShare: costing.One}
	}
	y := &costing.Yard{
		Jobs:  map[string]*costing.Job{"J1": {Key: "J1", Stage: "lay"}},
		Items: map[string]*costing.Item{"tape": item("tape"), "thread": item("thread")},
	}
	totals := costing.NewTotals()
	for _, name := range []string{"tape", "thread"} {
		totals.Add(&costing.Posting{
			Debit: costing.WorkInProgress, Credit: costing.Stock, Hull: "H1", Stage: "lay", Job: "J1",
			Element: costing.Material, Detail: name, Quantity: 1, Net: 1,
		})
	}
	rows, err := costing.Mass(y, totals)
	if err != nil || len(rows) != 1 || rows[0].Kg != 1 {
		t.Errorf("Mass = %+v, %v; want one row of a millionth of a kilogram", rows, err)
	}
}
