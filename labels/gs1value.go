package labels

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"hulltally/costing"
)

// encodable are the 82 characters that GS1 allows in data.
const encodable = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"

// keep checks the data of an element and stores it.
func (p *gs1Parser) keep(ai string, from, data int, value string) {
	id, known := lookUp(ai)
	e := Element{AI: ai, Known: known, Title: id.title, Position: len([]rune(p.text[:from])) + 1, Value: value}
	for i := range len(value) {
		if id.numeric && !isDigit(value[i]) {
			p.fail(ai, from, fmt.Sprintf("%q should be digits only (%s)", clip(value), lengthWords(id)))
			return
		}
		if known && strings.IndexByte(encodable, value[i]) < 0 || value[i] < ' ' {
			p.fail(ai, from, fmt.Sprintf("character %d of its data is not allowed in GS1 labels", i+1))
			return
		}
	}
	switch n := len(value); {
	case n < id.least:
		p.fail(ai, from, fmt.Sprintf("its data have %d characters, not %s", n, lengthWords(id)))
	case n > id.most && id.least == id.most:
		p.fail(ai, from, fmt.Sprintf("its data have %d characters, not %s", n, lengthWords(id)))
	case n > id.most:
		p.fail(ai, from, fmt.Sprintf("its data have %d characters, not %s: is the separator (FNC1) behind them missing?", n, lengthWords(id)))
	case id.check && !modulo10(value):
		p.fail(ai, from, fmt.Sprintf("the check digit of %s is wrong", value))
	}
	if p.err != nil {
		return
	}
	if err := e.evaluate(id, p.opt.Today); err != nil {
		p.fail(ai, from, err.Error())
		return
	}
	for _, other := range p.out {
		if other.AI == ai && other.Value != value {
			p.fail(ai, from, fmt.Sprintf("it was given before, at position %d, with other data", other.Position))
			return
		}
	}
	p.out = append(p.out, e)
}

func lengthWords(id identifier) string {
	if id.least == id.most {
		return strconv.Itoa(id.most)
	}
	return fmt.Sprintf("%d to %d", id.least, id.most)
}

// evaluate fills date and quantity.
func (e *Element) evaluate(id identifier, today costing.Date) (err error) {
	switch {
	case id.date:
		e.Date, err = gs1Date(e.Value, today)
		e.IsDate = true
	case id.decimals:
		n := int(e.AI[3] - '0')
		if n > 5 {
			return fmt.Errorf("%d decimals are not allowed: 0 to 5 are", n)
		}
		v, _ := strconv.ParseInt(e.Value, 10, 64) // six digits
		for range 6 - n {
			v *= 10
		}
		e.Quantity, e.Unit = costing.Quantity(v), id.unit
	case e.AI == "30" || e.AI == "37":
		v, _ := strconv.ParseInt(e.Value, 10, 64) // eight digits at most
		e.Quantity, e.Unit = costing.Quantity(v*costing.Million), costing.Each
	}
	return err
}

// modulo10 verifies the check digit at the end of a number.
func modulo10(s string) bool {
	sum := 0
	for i := range len(s) {
		d := int(s[len(s)-1-i] - '0')
		if i%2 == 1 {
			d *= 3
		}
		sum += d
	}
	return sum%10 == 0
}

// ParseGTIN reads a trade item number of 8, 12, 13 or 14 digits and writes it
// with 14, as element (01) of a label bears it.
func ParseGTIN(s string) (string, error) {
	switch len(s) {
	case 8, 12, 13, 14:
	default:
		return "", fmt.Errorf("%q is no trade item number: those have 8, 12, 13 or 14 digits", clip(s))
	}
	for i := range len(s) {
		if !isDigit(s[i]) {
			return "", fmt.Errorf("%q is no trade item number: it holds more than digits", clip(s))
		}
	}
	if !modulo10(s) {
		return "", fmt.Errorf("the check digit of the trade item number %s is wrong: read it again", s)
	}
	return strings.Repeat("0", 14-len(s)) + s, nil
}

// gs1Date reads YYMMDD. Day 00 is the last of the month. The century is the
// one that puts the year between 49 years back and 50 ahead.
func gs1Date(s string, today costing.Date) (costing.Date, error) {
	yy, _ := strconv.Atoi(s[:2])
	month, _ := strconv.Atoi(s[2:4])
	day, _ := strconv.Atoi(s[4:])
	if month < 1 || month > 12 {
		return 0, fmt.Errorf("%s is not a date: there is no month %02d", s, month)
	}
	now := int(today.Period() / 100)
	year := now - now%100 + yy
	switch ahead := yy - now%100; {
	case ahead >= 51:
		year -= 100
	case ahead <= -50:
		year += 100
	}
	first := costing.NewDate(year, time.Month(month), 1)
	last := first.Period().Next().First() - 1
	if day == 0 {
		return last, nil
	}
	d := first + costing.Date(day-1)
	if d > last {
		return 0, fmt.Errorf("%s is not a date: %s has no day %d", s, first.Period(), day)
	}
	return d, nil
}
