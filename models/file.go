package models

import (
	"reflect"
	"strings"
)

// file is one kind of yard file: its columns and, by the same name, its table.
type file[R any] struct {
	stem    string // the name without .csv
	columns []*column
	// settle, where set, looks at all rows once they are read: numbers lines,
	// refuses what only shows side by side.
	settle func(rows []*line[R], problems *Problems)
	// again says that a key may come twice: it is the same thing, sent again.
	again bool
}

// line is one row of a yard file as read.
type line[R any] struct {
	row   R
	at    int      // line in the file
	cells []string // canonical, by column
	key   string
	bad   bool // a problem was found: later checks pass it by
}

func newFile[R any](stem string) *file[R] {
	return &file[R]{stem: stem, columns: columnsOf(reflect.TypeFor[R]())}
}

func (f *file[R]) name() string { return f.stem + ".csv" }

// personal lists the columns that name a person, other than keys.
func (f *file[R]) personal() (names []string) {
	for _, c := range f.columns {
		if c.personal && !c.key {
			names = append(names, c.name)
		}
	}
	return names
}

// checker is a row with rules over several of its columns.
type checker interface {
	check(bad func(column, reason string))
}

// cellsOf is the row in canonical form: equal rows have equal cells.
func (f *file[R]) cellsOf(row *R) []string {
	v := reflect.ValueOf(row).Elem()
	cells := make([]string, len(f.columns))
	for i, c := range f.columns {
		cells[i] = c.write(v)
	}
	return cells
}

// keySeparator parts the cells of a key; no cell may hold it.
const keySeparator = "\x1f"

func (f *file[R]) keyOf(cells []string) string {
	var key strings.Builder
	for i, c := range f.columns {
		if !c.key {
			continue
		}
		if key.Len() > 0 {
			key.WriteString(keySeparator)
		}
		key.WriteString(cells[i])
	}
	return key.String()
}

// shown is a key as people and the history see it.
func shown(key string) string { return strings.ReplaceAll(key, keySeparator, "/") }
