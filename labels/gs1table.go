package labels

import "hulltally/costing"

// The application identifiers this yard needs, and enough of the others' form
// to keep them (GS1 General Specifications, section 3).

// identifier is how the data of an application identifier look.
type identifier struct {
	title    string
	least    int // characters of data
	most     int
	numeric  bool
	check    bool // ends in a modulo 10 check digit
	date     bool
	decimals bool // the identifier's last digit is the number of decimals
	unit     costing.Unit
}

// identifiers are keyed by the identifier, without its last digit where that
// counts decimals.
var identifiers = map[string]identifier{
	"00":  {title: "SSCC", least: 18, most: 18, numeric: true, check: true},
	"01":  {title: "GTIN", least: 14, most: 14, numeric: true, check: true},
	"02":  {title: "Content", least: 14, most: 14, numeric: true, check: true},
	"10":  {title: "Batch", least: 1, most: 20},
	"11":  {title: "Produced", least: 6, most: 6, numeric: true, date: true},
	"12":  {title: "Due", least: 6, most: 6, numeric: true, date: true},
	"13":  {title: "Packed", least: 6, most: 6, numeric: true, date: true},
	"15":  {title: "Best before", least: 6, most: 6, numeric: true, date: true},
	"16":  {title: "Sell by", least: 6, most: 6, numeric: true, date: true},
	"17":  {title: "Expires", least: 6, most: 6, numeric: true, date: true},
	"20":  {title: "Variant", least: 2, most: 2, numeric: true},
	"21":  {title: "Serial", least: 1, most: 20},
	"22":  {title: "Consumer product variant", least: 1, most: 20},
	"240": {title: "Additional item number", least: 1, most: 30},
	"241": {title: "Customer's item number", least: 1, most: 30},
	"250": {title: "Secondary serial", least: 1, most: 30},
	"30":  {title: "Count", least: 1, most: 8, numeric: true},
	"37":  {title: "Count of contents", least: 1, most: 8, numeric: true},
	"310": {title: "Net weight", least: 6, most: 6, numeric: true, decimals: true, unit: costing.Kilogram},
	"311": {title: "Length", least: 6, most: 6, numeric: true, decimals: true, unit: costing.Metre},
	"314": {title: "Area", least: 6, most: 6, numeric: true, decimals: true, unit: costing.SquareMetre},
	"315": {title: "Net volume", least: 6, most: 6, numeric: true, decimals: true, unit: costing.Litre},
	"330": {title: "Gross weight", least: 6, most: 6, numeric: true, decimals: true, unit: costing.Kilogram},
	"400": {title: "Order", least: 1, most: 30},
	"410": {title: "Ship to", least: 13, most: 13, numeric: true, check: true},
	"412": {title: "Purchased from", least: 13, most: 13, numeric: true, check: true},
	"414": {title: "Location", least: 13, most: 13, numeric: true, check: true},
}

// identifierDigits is the number of digits of an identifier by its first two;
// 0 where GS1 has assigned none.
func identifierDigits(two string) int {
	switch two {
	case "23", "24", "25", "40", "41", "42", "71":
		return 3
	case "31", "32", "33", "34", "35", "36", "39", "43", "70", "72", "80", "81", "82":
		return 4
	}
	if two <= "04" || two >= "10" && two <= "22" || two == "30" || two == "37" || two >= "90" && two <= "99" {
		return 2
	}
	return 0
}

// predefined is the length of the data where it is fixed by the first two
// digits, so that no separator need follow; 0 elsewhere. This table of GS1's
// will never change.
func predefined(two string) int {
	switch two {
	case "00":
		return 18
	case "01", "02", "03":
		return 14
	case "04":
		return 16
	case "11", "12", "13", "14", "15", "16", "17", "18", "19", "31", "32", "33", "34", "35", "36":
		return 6
	case "20":
		return 2
	case "41":
		return 13
	}
	return 0
}

// lookUp finds what is known of an identifier; the rest are kept as they come.
func lookUp(ai string) (identifier, bool) {
	if len(ai) == 4 && ai[0] == '3' && ai[1] >= '1' && ai[1] <= '6' {
		if id, ok := identifiers[ai[:3]]; ok {
			return id, true
		}
		return identifier{title: "Measure", least: 6, most: 6, numeric: true, decimals: true}, false
	}
	if id, ok := identifiers[ai]; ok {
		return id, true
	}
	if n := predefined(ai[:2]); n > 0 {
		return identifier{least: n, most: n, numeric: true}, false
	}
	return identifier{least: 1, most: 90}, false
}
