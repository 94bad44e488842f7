package handlers

import (
	"fmt"
	"math/big"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/handlers/workbook"
)

// figure is a value on a page: as programs read it, as people do, and where
// it leads.
type figure struct {
	Value, Text string
	Href        string
	Class       string
	Bar         string // a share of the cell's width, such as 42.5%
	Note        string // small, after the text

	kind workbook.Kind // what a workbook makes of it; Text leaves it to the column
}

// to makes the figure a link.
func (f figure) to(href string) figure {
	f.Href = href
	return f
}

// day is a date in words.
func day(d costing.Date) figure {
	return figure{Value: d.String(), Text: review.DayName(d), kind: workbook.Day}
}

// words is a figure of text.
func words(text string) figure { return figure{Value: text, Text: text} }

// cash is an amount to the cent.
func (g *ground) cash(m costing.Money) figure {
	v := g.currency.Format(m)
	return figure{Value: v, Text: review.People(v)}
}

// whole is an amount shown in whole currency units; its value is exact.
func (g *ground) whole(m costing.Money) figure {
	return figure{Value: g.currency.Format(m), Text: review.Whole(g.currency, m)}
}

// signed is whole with a plus where something is gained.
func (g *ground) signed(m costing.Money) figure {
	f := g.whole(m)
	if m > 0 {
		f.Text = "+" + f.Text
	}
	return f
}

// cause is a variance: adverse ones are marked in words of their class too.
func (g *ground) cause(m costing.Money) figure {
	f := g.cash(m)
	switch {
	case m > 0:
		f.Text, f.Class = "+"+f.Text, "adverse"
	case m < 0:
		f.Class = "kind"
	default:
		f.Class = "nil"
	}
	return f
}

// hoursOf shows seconds as hours; the value is the seconds.
func hoursOf(seconds int64) figure {
	return figure{Value: strconv.FormatInt(seconds, 10), Text: review.HoursOf(seconds), kind: workbook.Hours}
}

// amountOf is a quantity in its unit, to at most three places.
func amountOf(q costing.Quantity, u costing.Unit) figure {
	v, err := costing.MulRound(int64(q), 1, 1000)
	if err != nil {
		v = int64(q) / 1000
	}
	f := figure{Value: q.String(), Text: review.People(costing.FormatDecimal(v * 1000))}
	if u != "" {
		f.Note = review.UnitName(u)
	}
	return f
}

// part is a share in per cent with one decimal; the value has four places, as
// in the reports.
func part(r *big.Rat) figure {
	if r == nil {
		return figure{}
	}
	v, ok := share(r).(string)
	if !ok {
		return figure{}
	}
	tenths, err := costing.RoundRat(new(big.Rat).Mul(r, big.NewRat(1000, 1)))
	if err != nil {
		return words(v)
	}
	return figure{Value: v, Text: review.People(decimal1(tenths)) + "\u202f%", kind: workbook.Share}
}

// decimal1 writes tenths.
func decimal1(tenths int64) string {
	sign := ""
	if tenths < 0 {
		sign, tenths = "-", -tenths
	}
	return fmt.Sprintf("%s%d.%d", sign, tenths/10, tenths%10)
}

// percentOf is a / b as a length for a chart, cut to 0 to 100.
func percentOf(a, b costing.Money) string { return length(permille(a, b)) }

// permille is a / b in thousandths, cut to 0 to 1000.
func permille(a, b costing.Money) int64 {
	if b <= 0 || a <= 0 {
		return 0
	}
	if a >= b {
		return 1000
	}
	v, err := costing.MulRound(int64(a), 1000, int64(b))
	if err != nil {
		return 0
	}
	return v
}

// length writes thousandths as a length of SVG.
func length(permille int64) string { return decimal1(permille) + "%" }
