package labels

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"hulltally/costing"
)

// amountForm is a quantity as people type it and as scales print it: a word for
// whether the pan is at rest, one for gross or net, a sign, a number and a unit,
// such as "12.345 kg" or "ST,GS,+ 12.345kg".
var amountForm = regexp.MustCompile(`^(?:(ST|US|OL|UL)[,;: ]+)?(?:(GS|NT|TR|G|N|T)[,;: ]+)?([+-]?) {0,12}([0-9]{1,7}(?:[.,][0-9]{1,6})?) {0,4}(\p{L}[\p{L}0-9²]{0,3})?(?: (G|N|NET))?$`)

// amountUnits are units as they are typed and printed; thousandth marks those
// of which a thousand make the code's unit.
var amountUnits = map[string]struct {
	code       costing.Unit
	thousandth bool
}{
	"": {}, "KG": {costing.Kilogram, false}, "KGM": {costing.Kilogram, false}, "G": {costing.Kilogram, true}, "GRM": {costing.Kilogram, true},
	"M": {costing.Metre, false}, "MTR": {costing.Metre, false}, "MM": {costing.Metre, true}, "M2": {costing.SquareMetre, false},
	"M²": {costing.SquareMetre, false}, "MTK": {costing.SquareMetre, false}, "L": {costing.Litre, false}, "LTR": {costing.Litre, false},
	"ML": {costing.Litre, true}, "PCS": {costing.Each, false}, "PC": {costing.Each, false}, "C62": {costing.Each, false},
}

var errNoAmount = errors.New("is no quantity such as 12.5, 12.5 kg or what a scale prints")

// ReadAmount reads a quantity as people type it and as scales print it. A scale
// that hasn't settled, is overloaded or shows its tare is refused, and so is a
// unit that would have to be guessed.
func ReadAmount(raw string) (costing.Measure, error) {
	s := strings.ToUpper(strings.Trim(raw, " \t\r\n\x02\x03"))
	part := amountForm.FindStringSubmatch(s)
	if part == nil {
		return costing.Measure{}, fmt.Errorf("%q %w", clip(s), errNoAmount)
	}
	switch {
	case part[1] == "US":
		return costing.Measure{}, errors.New("the scale has not settled: wait until it is at rest, then send again")
	case part[1] == "OL" || part[1] == "UL":
		return costing.Measure{}, errors.New("the scale is out of its range: weigh again")
	case strings.HasPrefix(part[2], "T"):
		return costing.Measure{}, errors.New("that is the tare: send the weight")
	case part[3] == "-":
		return costing.Measure{}, fmt.Errorf("%q: a quantity cannot be negative", clip(s))
	}
	unit, known := amountUnits[part[5]]
	if !known {
		return costing.Measure{}, fmt.Errorf("%q: the unit %s is not known here: use kg, g, m, m2, l or pcs", clip(s), part[5])
	}
	v, err := costing.ParseDecimal(strings.Replace(part[4], ",", ".", 1))
	if err != nil {
		return costing.Measure{}, err
	}
	if unit.thousandth {
		if v%1000 != 0 {
			return costing.Measure{}, fmt.Errorf("%q is finer than a quantity can be: leave the last figures out", clip(s))
		}
		v /= 1000
	}
	switch {
	case v == 0:
		return costing.Measure{}, fmt.Errorf("%q: a quantity must be above zero", clip(s))
	case costing.Quantity(v) > MaxMeasure:
		return costing.Measure{}, fmt.Errorf("%q is too large for a quantity (at most %s)", clip(s), MaxMeasure)
	}
	return costing.Measure{Value: costing.Quantity(v), Unit: unit.code}, nil
}
