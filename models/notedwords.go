package models

import (
	"hulltally/costing"
	"hulltally/costing/clock"
)

var checkNames = map[clock.CheckKind]string{
	clock.VacuumDrop: "Vacuum drop", clock.LeaksFound: "Leaks found", clock.Temperature: "Air temperature", clock.Humidity: "Air humidity",
}

var problemNames = map[clock.ProblemKind]string{
	clock.LeakProblem: "Leak", clock.DrySpot: "Dry spot", clock.Damage: "Damage", clock.MissingMaterial: "Missing material",
	clock.WaitingProblem: "Waiting", clock.Unsafe: "Unsafe", clock.Idea: "Idea",
}

// CheckName is what a check is called in English.
func CheckName(k clock.CheckKind) string {
	if name, ok := checkNames[k]; ok {
		return name
	}
	return string(k)
}

// ProblemName is what a problem is called in English; without one it is the
// card that asks for it.
func ProblemName(k clock.ProblemKind) string {
	if name, ok := problemNames[k]; ok {
		return name
	}
	return "Problem"
}

// HoldName is what a hold is called in English.
func HoldName(kind string) string {
	switch kind {
	case DemouldHold:
		return "Cure before demoulding"
	case PostCureHold:
		return "Post-cure"
	case PaintHold:
		return "Paint"
	}
	return "Hold"
}

// unitSigns are how people write the units of checks.
var unitSigns = map[costing.Unit]string{
	costing.Millibar: "mbar", costing.Celsius: "°C", costing.Percent: "%", costing.Each: "",
}

// CheckUnit is how people write the unit of a check.
func CheckUnit(k clock.CheckKind) string { return unitSigns[k.Unit()] }
