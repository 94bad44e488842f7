package review

import (
	"strconv"
	"strings"

	"hulltally/costing"
)

// thin keeps the digits of a long number apart, and a number and its unit on
// one line; minus is the sign of a number below nought.
const (
	thin  = "\u202f"
	minus = "\u2212"
)

// units are the units as people write them.
var units = map[costing.Unit]string{
	costing.Kilogram: "kg", costing.SquareMetre: "m²", costing.Metre: "m", costing.Litre: "l", costing.Each: "pcs", costing.Hour: "h",
}

// UnitName is a unit as people write it.
func UnitName(u costing.Unit) string {
	if name, ok := units[u]; ok {
		return name
	}
	return string(u)
}

// People writes a plain decimal for people: digits in threes, a true minus.
func People(decimal string) string {
	digits, negative := strings.CutPrefix(decimal, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	var b strings.Builder
	if negative {
		b.WriteString(minus)
	}
	for i := range len(whole) {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(thin)
		}
		b.WriteByte(whole[i])
	}
	if point {
		b.WriteString("." + fraction)
	}
	return b.String()
}

// Whole writes an amount in whole currency units, rounded half away from nought.
func Whole(c costing.Currency, m costing.Money) string {
	v, err := costing.MulRound(int64(m), 1, c.Scale())
	if err != nil {
		return People(c.Format(m))
	}
	return People(strconv.FormatInt(v, 10))
}

// Cash is Whole with the currency.
func Cash(c costing.Currency, m costing.Money) string { return Whole(c, m) + thin + c.Code }

// HoursOf writes seconds as hours with one decimal.
func HoursOf(seconds int64) string { return People(tenths(seconds, 3600)) }

// tenths is v / unit with one decimal, rounded half away from nought.
func tenths(v, unit int64) string {
	t, err := costing.MulRound(v, 10, unit)
	if err != nil {
		return strconv.FormatInt(v/unit, 10)
	}
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	return sign + strconv.FormatInt(t/10, 10) + "." + strconv.FormatInt(t%10, 10)
}

// Amount writes a quantity with at most one decimal and its unit.
func Amount(q costing.Quantity, u costing.Unit) string {
	return People(strings.TrimSuffix(tenths(int64(q), costing.Million), ".0")) + thin + UnitName(u)
}

var months = [...]string{
	"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
}

// DayName writes a date as people say it: 3 August 2026.
func DayName(d costing.Date) string {
	iso := d.String()
	day := strings.TrimPrefix(iso[len(iso)-2:], "0")
	return day + " " + MonthName(d.Period()) + " " + iso[:len(iso)-6]
}

// MonthName is the name of a month without its year.
func MonthName(p costing.Period) string { return months[(p%100+11)%12] }
