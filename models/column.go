package models

import (
	"fmt"
	"reflect"
	"strings"

	"hulltally/costing"
)

// column is one column of a yard file, as the csv tag of a row's field says:
//
//	csv:"name[,opt][,blank][,key][,hidden][,personal][,nonneg|positive][,max=N][,range=A..B][,oneof=a|b][,is=RULE][,ref=FILE][,default=V]"
//
// personal names a person, and is taken out when a leaver's name is removed (a column called who is);
// opt may be missing or blank, blank may be blank; key is part of the row's key;
// hidden is kept but never in a file; ref names the yard file whose first key the cell must be,
// or several parted by |.
type column struct {
	name         string
	db           string // column of the table
	field        int
	kind         reflect.Type
	opt          bool // the whole column may be missing
	blank        bool // a cell may be blank
	key          bool
	hidden       bool
	personal     bool
	nonneg       bool
	positive     bool
	low, high    int64 // bounds; of decimals in millionths
	oneOf        []string
	is           string
	ref          string
	defaultValue string
	parse        func(c *column, cell string, into reflect.Value) error
	format       func(v reflect.Value) string
}

// columnsOf reads the tags of a row struct. A wrong tag is a mistake in this
// program, not in the data.
func columnsOf(row reflect.Type) []*column {
	var columns []*column
	for i := range row.NumField() {
		f := row.Field(i)
		tag, ok := f.Tag.Lookup("csv")
		if !ok {
			continue
		}
		parts := strings.Split(tag, ",")
		c := &column{name: parts[0], db: parts[0], field: i, kind: f.Type, personal: parts[0] == "who"}
		for _, setting := range strings.Split(f.Tag.Get("gorm"), ";") {
			if name, ok := strings.CutPrefix(setting, "column:"); ok {
				c.db = name
			}
		}
		cellType(c)
		for _, word := range parts[1:] {
			c.set(word, row.Name()+"."+f.Name)
		}
		columns = append(columns, c)
	}
	return columns
}

func (c *column) set(word, where string) {
	name, value, _ := strings.Cut(word, "=")
	switch name {
	case "opt":
		c.opt, c.blank = true, true
	case "blank":
		c.blank = true
	case "key":
		c.key = true
	case "hidden":
		c.hidden, c.opt, c.blank = true, true, true
	case "personal":
		c.personal = true
	case "nonneg":
		c.nonneg = true
	case "positive":
		c.positive = true
	case "oneof":
		c.oneOf = strings.Split(value, "|")
	case "is":
		c.is = value
		if value == "raw" {
			c.format = formatRaw
		}
	case "ref":
		c.ref = value
	case "default":
		c.defaultValue = value
	case "max":
		high, err := costing.ParseDecimal(value)
		if err != nil {
			panic(fmt.Sprintf("%s: max: %v", where, err))
		}
		c.low, c.high = -high, high
	case "range":
		if _, err := fmt.Sscanf(value, "%d..%d", &c.low, &c.high); err != nil {
			panic(fmt.Sprintf("%s: range: %v", where, err))
		}
	default:
		panic(fmt.Sprintf("%s: the csv tag has an unknown word %q", where, word))
	}
}

// Bounds keep every product the engine forms within 128 bits.
const (
	million      = costing.Million
	maxAmount    = 1_000_000_000_000 * million // prices and amounts
	maxQuantity  = 1_000_000_000 * million
	maxShare     = 1_000 * million
	maxCellBytes = 4000
	maxKeyBytes  = 400 // four such keys still fit an index page
)

// cellType chooses how the column's cells are read and written by Go type.
func cellType(c *column) {
	kind := c.kind
	if kind.Kind() == reflect.Pointer {
		kind = kind.Elem()
	}
	switch kind {
	case reflect.TypeFor[string]():
		c.parse, c.format = parseText, formatText
	case reflect.TypeFor[Day]():
		c.parse, c.format = parseDay, formatText
	case reflect.TypeFor[costing.Instant]():
		c.parse, c.format = parseInstant, formatInstant
	case reflect.TypeFor[bool]():
		c.parse, c.format = parseYesNo, formatYesNo
	case reflect.TypeFor[Clock]():
		c.parse, c.format = parseClock, formatClock
	case reflect.TypeFor[int]():
		c.parse, c.format = parseWhole, formatWhole
		c.low, c.high = -1_000_000, 1_000_000
	case reflect.TypeFor[int64]():
		c.parse, c.format = parseWhole, formatWhole
		c.low, c.high = 0, 1<<53
	case reflect.TypeFor[costing.Quantity]():
		c.decimal(maxQuantity)
	case reflect.TypeFor[costing.Share]():
		c.decimal(maxShare)
	case reflect.TypeFor[costing.Price](), reflect.TypeFor[Decimal]():
		c.decimal(maxAmount)
	default:
		panic(fmt.Sprintf("column %s: no way to read a %s", c.name, c.kind))
	}
}

func (c *column) decimal(high int64) {
	c.parse, c.format = parseDecimal, formatDecimal
	c.low, c.high = -high, high
}
