package models

import (
	"context"
	"reflect"
	"strings"
)

// onConflict is the clause that turns an insert of a known key into an update.
func (f *file[R]) onConflict() string {
	var keys, sets []string
	for _, c := range f.columns {
		if c.key {
			keys = append(keys, `"`+c.db+`"`)
		} else {
			sets = append(sets, `"`+c.db+`" = excluded."`+c.db+`"`)
		}
	}
	return "ON CONFLICT (" + strings.Join(keys, ", ") + ") DO UPDATE SET " + strings.Join(sets, ", ")
}

// insertRows writes rows of a file's table in bulk.
func insertRows[R any](ctx context.Context, tx *Tx, f *file[R], rows []R, conflict string) error {
	if len(rows) == 0 {
		return nil
	}
	columns := make([]Column, len(f.columns))
	for i, c := range f.columns {
		columns[i] = Column{c.db, valuesOf(c, rows)}
	}
	return tx.Insert(ctx, f.stem, conflict, columns...)
}

// valuesOf gathers one column of rows in the form Insert takes.
func valuesOf[R any](c *column, rows []R) any {
	all := reflect.ValueOf(rows)
	switch c.kind.Kind() {
	case reflect.String:
		values := make([]string, len(rows))
		for i := range values {
			values[i] = all.Index(i).Field(c.field).String()
		}
		return values
	case reflect.Bool:
		values := make([]bool, len(rows))
		for i := range values {
			values[i] = all.Index(i).Field(c.field).Bool()
		}
		return values
	case reflect.Pointer:
		values := make([]*int64, len(rows))
		for i := range values {
			if p := all.Index(i).Field(c.field); !p.IsNil() {
				v := p.Elem().Int()
				values[i] = &v
			}
		}
		return values
	default:
		values := make([]int64, len(rows))
		for i := range values {
			values[i] = all.Index(i).Field(c.field).Int()
		}
		return values
	}
}
