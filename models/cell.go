package models

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"hulltally/costing"
)

var errBlank = errors.New("is blank: give a value")

// read parses one cell into its field.
func (c *column) read(cell string, row reflect.Value) error {
	if cell == "" {
		cell = c.defaultValue
	}
	if cell == "" {
		if c.blank {
			return nil
		}
		return errBlank
	}
	into := row.Field(c.field)
	if c.kind.Kind() == reflect.Pointer {
		p := reflect.New(c.kind.Elem())
		if err := c.parse(c, cell, p.Elem()); err != nil {
			return err
		}
		into.Set(p)
		return nil
	}
	return c.parse(c, cell, into)
}

// write is the field's cell; read gives the same field back.
func (c *column) write(row reflect.Value) string {
	v := row.Field(c.field)
	if c.kind.Kind() == reflect.Pointer {
		if v.IsNil() {
			return ""
		}
		v = v.Elem()
	}
	if c.opt && c.kind == reflect.TypeFor[int]() && v.Int() == 0 {
		return "" // as it was read
	}
	return c.format(v)
}

func parseText(c *column, cell string, into reflect.Value) error {
	limit := maxCellBytes
	if c.key || c.ref != "" {
		limit = maxKeyBytes
		if strings.TrimSpace(cell) != cell {
			return fmt.Errorf("%q has spaces around it: take them away", cell)
		}
	}
	if len(cell) > limit {
		return fmt.Errorf("is longer than %d bytes: shorten it", limit)
	}
	if c.is == "raw" {
		cell = strings.ReplaceAll(cell, "\r", "") // as formatRaw writes it
		if strings.ContainsRune(cell, 0) {
			return errors.New("holds a NUL character, which cannot be kept: take it away")
		}
	} else if strings.IndexFunc(cell, unicode.IsControl) >= 0 {
		return errors.New("holds a line break, a tab or another control character: take it away")
	}
	if c.oneOf != nil && !slices.Contains(c.oneOf, cell) {
		return fmt.Errorf("%q is not one of %s", cell, strings.Join(c.oneOf, ", "))
	}
	if check := textRules[c.is]; check != nil {
		var err error
		if cell, err = check(cell); err != nil {
			return err
		}
	}
	into.SetString(cell)
	return nil
}

func formatText(v reflect.Value) string { return v.String() }

// formatRaw: CSV readers take CR LF for LF, and to a payload CR is nothing but
// a scanner's suffix, so the files hold none.
func formatRaw(v reflect.Value) string { return strings.ReplaceAll(v.String(), "\r", "") }

// Days and instants outside these years are slips of the pen.
const firstYear, lastYear = 1900, 2200

func parseDay(_ *column, cell string, into reflect.Value) error {
	d, err := costing.ParseDate(cell)
	if err != nil {
		return err
	}
	if d < costing.NewDate(firstYear, time.January, 1) || d > costing.NewDate(lastYear, time.December, 31) {
		return fmt.Errorf("%s is not in the years %d to %d", cell, firstYear, lastYear)
	}
	into.SetString(d.String())
	return nil
}

func parseInstant(_ *column, cell string, into reflect.Value) error {
	at, err := costing.ParseInstant(cell)
	if err != nil {
		return err
	}
	if y := at.Time().Year(); y < firstYear || y > lastYear {
		return fmt.Errorf("%s is not in the years %d to %d", cell, firstYear, lastYear)
	}
	into.SetInt(int64(at))
	return nil
}

func formatInstant(v reflect.Value) string { return costing.Instant(v.Int()).String() }

func parseYesNo(_ *column, cell string, into reflect.Value) error {
	switch cell {
	case "yes":
		into.SetBool(true)
	case "no":
		into.SetBool(false)
	default:
		return fmt.Errorf("%q is neither yes nor no", cell)
	}
	return nil
}

func formatYesNo(v reflect.Value) string {
	if v.Bool() {
		return "yes"
	}
	return "no"
}

func parseClock(_ *column, cell string, into reflect.Value) error {
	minutes, err := costing.ParseClock(cell)
	if err != nil {
		return err
	}
	into.SetInt(int64(minutes))
	return nil
}

func formatClock(v reflect.Value) string { return costing.FormatClock(int(v.Int())) }

func parseWhole(c *column, cell string, into reflect.Value) error {
	n, err := strconv.ParseInt(cell, 10, 64)
	if err != nil || n < c.low || n > c.high {
		return fmt.Errorf("%q is not a whole number from %d to %d", cell, c.low, c.high)
	}
	into.SetInt(n)
	return nil
}

func formatWhole(v reflect.Value) string { return strconv.FormatInt(v.Int(), 10) }

func parseDecimal(c *column, cell string, into reflect.Value) error {
	v, err := costing.ParseDecimal(cell)
	switch {
	case err != nil:
		return err
	case c.positive && v <= 0:
		return fmt.Errorf("%s is not above 0", cell)
	case c.nonneg && v < 0:
		return fmt.Errorf("%s is below 0", cell)
	case v < c.low || v > c.high:
		return fmt.Errorf("%s is too large: the limit is %s", cell, costing.FormatDecimal(c.high))
	}
	into.SetInt(v)
	return nil
}

func formatDecimal(v reflect.Value) string { return costing.FormatDecimal(v.Int()) }
