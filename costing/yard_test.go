package costing_test

import (
	"testing"

	"pgregory.net/rapid"

	"hulltally/costing"
)

// A dated value holds from its day until the next one's, whatever the order in
// which they were added; the same day again replaces.
func TestDated(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.SliceOf(rapid.Int32Range(0, 40)).Draw(t, "days")
		var d costing.Dated[int]
		for i, from := range days {
			d = d.Add(costing.Date(from), i)
		}
		for day := int32(-1); day < 42; day++ {
			want, latest := -1, int32(-1)
			for i, from := range days {
				if from <= day && from >= latest {
					want, latest = i, from
				}
			}
			if got := d.Or(costing.Date(day), -1); got != want {
				t.Fatalf("%v: on day %d holds %d, want %d", days, day, got, want)
			}
		}
	})
}

func TestLotCostAt(t *testing.T) {
	landed := costing.Money(50)
	lot := &costing.Lot{Cost: 1100, Landed: 100, Invoices: []costing.Invoice{
		{At: 10, Price: 1200}, {At: 20, Price: 900, Landed: &landed}, {At: 30, Price: 950},
	}}
	for at, want := range map[costing.Instant]costing.Money{9: 1100, 10: 1300, 19: 1300, 20: 950, 30: 1000, 99: 1000} {
		if got := lot.CostAt(at); got != want {
			t.Errorf("at %d the lot cost %d, want %d", at, got, want)
		}
	}
}

func TestChangeCounts(t *testing.T) {
	day := costing.Date(100)
	for _, c := range []struct {
		change costing.Change
		on     costing.Date
		want   bool
	}{
		{costing.Change{Status: "quoted", AgreedOn: &day}, 200, false},
		{costing.Change{Status: costing.Agreed, AgreedOn: &day}, 99, false},
		{costing.Change{Status: costing.Agreed, AgreedOn: &day}, 100, true},
		{costing.Change{Status: costing.Agreed}, 0, true},
	} {
		if got := c.change.Counts(c.on); got != c.want {
			t.Errorf("%+v counts on %s: %t, want %t", c.change, c.on, got, c.want)
		}
	}
}
