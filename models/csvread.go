package models

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"reflect"
	"unicode/utf8"
)

var byteOrderMark = []byte("\ufeff")

// read parses a yard file. Rows with problems are kept, marked bad, so that
// what refers to them isn't blamed too; whole says that no row was lost.
func (f *file[R]) read(text []byte, problems *Problems) (rows []*line[R], whole bool) {
	text = bytes.TrimPrefix(text, byteOrderMark)
	if !utf8.Valid(text) {
		problems.add(f.name(), badUTF8Line(text), "", "is not UTF-8: save the file as UTF-8")
		return nil, false
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		if errors.Is(err, io.EOF) {
			problems.add(f.name(), 1, "", "has no header: its first line names the columns, such as %s", f.header())
		} else {
			f.syntax(err, problems)
		}
		return nil, false
	}
	places, ok := f.places(header, problems)
	if !ok {
		return nil, false
	}
	whole = true
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			f.syntax(err, problems) // what follows a broken quote cannot be told
			return rows, false
		}
		at, _ := r.FieldPos(0)
		if len(record) != len(header) {
			problems.add(f.name(), at, "", "has %d cells where the header has %d: give every column, quote cells that hold a comma", len(record), len(header))
			whole = false
			continue
		}
		rows = append(rows, f.readRow(record, places, at, problems))
	}
	f.finish(rows, problems)
	return rows, whole
}

// finish numbers the rows where need be and refuses keys given twice.
func (f *file[R]) finish(rows []*line[R], problems *Problems) {
	if f.settle != nil {
		f.settle(rows, problems)
	}
	first := make(map[string]*line[R], len(rows))
	for _, l := range rows {
		if l.bad {
			continue
		}
		if twin, twice := first[l.key]; twice && !f.again {
			l.bad = true
			problems.add(f.name(), l.at, f.keyName(), "%s is on line %d too: keep one of the two lines", shown(l.key), twin.at)
			continue
		}
		first[l.key] = l
	}
}

func (f *file[R]) readRow(record []string, places []int, at int, problems *Problems) *line[R] {
	l := &line[R]{at: at}
	v := reflect.ValueOf(&l.row).Elem()
	for i, c := range f.columns {
		cell := ""
		if places[i] >= 0 {
			cell = record[places[i]]
		}
		if err := c.read(cell, v); err != nil {
			l.bad = true
			problems.add(f.name(), at, c.name, "%v", err)
		}
	}
	l.cells = f.cellsOf(&l.row)
	l.key = f.keyOf(l.cells)
	if ch, ok := any(&l.row).(checker); ok && !l.bad {
		ch.check(func(column, reason string) {
			l.bad = true
			problems.add(f.name(), at, column, "%s", reason)
		})
	}
	return l
}

// places finds each column's place in the header; -1 where it is left out.
func (f *file[R]) places(header []string, problems *Problems) ([]int, bool) {
	found := map[string]int{}
	ok := true
	bad := func(column, format string, args ...any) {
		ok = false
		problems.add(f.name(), 1, column, format, args...)
	}
	for i, name := range header {
		if _, twice := found[name]; twice {
			bad(name, "the column is there twice: take one away")
		}
		found[name] = i
	}
	places := make([]int, len(f.columns))
	for i, c := range f.columns {
		at, given := found[c.name]
		switch {
		case c.hidden:
			places[i] = -1
			continue
		case given:
			places[i] = at
		case c.opt:
			places[i] = -1
		default:
			bad(c.name, "the column is missing: add it")
		}
		delete(found, c.name)
	}
	for _, name := range header {
		if _, unknown := found[name]; unknown {
			bad(name, "is no column of this file: take it away; the columns are %s", f.header())
			delete(found, name)
		}
	}
	return places, ok
}

func (f *file[R]) syntax(err error, problems *Problems) {
	var e *csv.ParseError
	if errors.As(err, &e) {
		problems.add(f.name(), e.Line, "", "cannot be read (%v): put cells that hold a quote or a comma in quotes, and double the quotes within", e.Err)
		return
	}
	problems.add(f.name(), 0, "", "cannot be read: %v", err)
}

func badUTF8Line(text []byte) int {
	at := 1
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		if r == utf8.RuneError && size == 1 {
			break
		}
		if r == '\n' {
			at++
		}
		text = text[size:]
	}
	return at
}
