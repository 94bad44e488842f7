package costing

import (
	"fmt"
	"strings"
)

// Quantity is an amount of an item in its stock unit, in millionths. Hours of
// an estimate are quantities too.
type Quantity int64

// String writes the quantity in the shortest decimal form.
func (q Quantity) String() string { return FormatDecimal(int64(q)) }

// Unit is a UN/ECE Recommendation 20 code.
type Unit string

// The units the engine knows.
const (
	Kilogram    Unit = "KGM"
	SquareMetre Unit = "MTK"
	Metre       Unit = "MTR"
	Litre       Unit = "LTR"
	Each        Unit = "C62"
	Hour        Unit = "HUR"
)

// The units that checks are read in.
const (
	Millibar    Unit = "MBR"
	Hectopascal Unit = "A97"
	Kilopascal  Unit = "KPA"
	Celsius     Unit = "CEL"
	Percent     Unit = "P1"
	Minute      Unit = "MIN"
)

// StockUnits lists the units an item may be stocked in.
var StockUnits = []Unit{Kilogram, SquareMetre, Metre, Litre, Each}

// ParseUnit looks a unit code up.
func ParseUnit(s string) (Unit, error) {
	switch u := Unit(s); u {
	case Kilogram, SquareMetre, Metre, Litre, Each, Hour, Millibar, Hectopascal, Kilopascal, Celsius, Percent, Minute:
		return u, nil
	}
	return "", fmt.Errorf("%q is not a known unit code (KGM, MTK, MTR, LTR, C62)", s)
}

// Measure is a quantity as it was read: a decimal and, maybe, a unit.
type Measure struct {
	Value Quantity
	Unit  Unit // empty: the item's stock unit
}

// ParseMeasure reads "12.5" or "12.5MTR". A comma stands for the point.
func ParseMeasure(s string) (Measure, error) {
	end := strings.IndexFunc(s, func(r rune) bool { return r >= 'A' && r <= 'Z' })
	var m Measure
	if end > 0 {
		u, err := ParseUnit(s[end:])
		if err != nil {
			return m, err
		}
		m.Unit, s = u, s[:end]
	}
	v, err := ParseDecimal(strings.Replace(s, ",", ".", 1))
	m.Value = Quantity(v)
	return m, err
}

// InStockUnit converts a measure to the item's stock unit by the item's data:
// MTR → MTK by roll width, C62 → MTK by sheet area, LTR ↔ KGM by density. The
// result is rounded to six places, half away from zero.
func (it *Item) InStockUnit(m Measure) (Quantity, error) {
	if m.Unit == "" || m.Unit == it.StockUnit {
		return m.Value, nil
	}
	factor, divide := int64(0), false
	switch {
	case m.Unit == Metre && it.StockUnit == SquareMetre:
		factor = it.RollWidth
	case m.Unit == Each && it.StockUnit == SquareMetre:
		factor = it.SheetArea
	case m.Unit == Litre && it.StockUnit == Kilogram:
		factor = it.Density
	case m.Unit == Kilogram && it.StockUnit == Litre:
		factor, divide = it.Density, true
	}
	if factor <= 0 {
		return 0, fmt.Errorf("item %s has no conversion from %s to %s", it.Key, m.Unit, it.StockUnit)
	}
	if divide {
		v, err := MulRound(int64(m.Value), Million, factor)
		return Quantity(v), err
	}
	v, err := MulRound(int64(m.Value), factor, Million)
	return Quantity(v), err
}

// GrossUp is net × (1 + factor), rounded to six places half away from zero.
func GrossUp(net Quantity, factor Share) (Quantity, error) {
	whole, err := addChecked(int64(One), int64(factor))
	if err != nil {
		return 0, err
	}
	v, err := MulRound(int64(net), whole, Million)
	return Quantity(v), err
}
