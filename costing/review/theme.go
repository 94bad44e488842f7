package review

import (
	"hulltally/costing"
	"hulltally/costing/variance"
)

// Theme is a cause as an owner thinks of it: one or more causes of variance.
type Theme string

// The themes.
const (
	Hours      Theme = "hours"       // more or fewer hours than allowed
	Carried    Theme = "carried"     // overhead that those hours carry
	PayRate    Theme = "pay"         // dearer or cheaper hands than planned
	Price      Theme = "price"       // material dearer or cheaper than planned
	Quantity   Theme = "quantity"    // more or less material than allowed
	Unplanned  Theme = "unplanned"   // material that no line foresees
	BoughtIn   Theme = "bought-in"   // parts and work bought for the hull
	Rework     Theme = "rework"      // rework and warranty, whole
	NotAgreed  Theme = "not-agreed"  // work on change orders that nobody has agreed
	StillToDo  Theme = "still-to-do" // forecast to complete beyond its estimate
	Agreed     Theme = "agreed"      // agreed changes: their price less their estimate
	themeCount       = 9
)

// Themes lists the themes of cost already spent, in the order they are shown.
var Themes = [themeCount]Theme{Hours, Carried, PayRate, Quantity, Unplanned, Price, BoughtIn, Rework, NotAgreed}

// labels are what the themes are called.
var labels = map[Theme]string{
	Hours: "Hours", Carried: "Overhead on hours", PayRate: "Pay rates", Price: "Material prices",
	Quantity: "Material quantity", Unplanned: "Unplanned material", BoughtIn: "Bought-in", Rework: "Rework and warranty",
	NotAgreed: "Changes not agreed", StillToDo: "Still to do", Agreed: "Agreed changes",
}

// Label is what the theme is called.
func (t Theme) Label() string { return labels[t] }

var themeOf = map[variance.Cause]Theme{
	variance.LabourRate: PayRate, variance.LabourEfficiency: Hours, variance.OverheadEfficiency: Carried,
	variance.MaterialPrice: Price, variance.MaterialUsage: Quantity, variance.MaterialWaste: Quantity,
	variance.MaterialTakeOff: Quantity, variance.Mix: Quantity, variance.Yield: Quantity,
	variance.Unplanned: Unplanned, variance.BoughtIn: BoughtIn, variance.Rework: Rework,
}

// Split is an amount by theme; adverse is positive.
type Split map[Theme]costing.Money

// Sum adds the themes up.
func (s Split) Sum() (sum costing.Money) {
	for _, m := range s {
		sum += m
	}
	return sum
}
