package models

import (
	"context"
	"strings"
)

// Column is one column of rows to insert. Values is a []string, []*string,
// []int64, []*int64 or []bool; the columns of an insertion are equally long.
type Column struct {
	Name   string
	Values any
}

// insertion is a bulk insert; conflict is the clause after the values.
type insertion struct {
	table    string
	columns  []Column
	conflict string
	numbered bool // the rows bring the numbers that the database would give
}

// Insert writes rows in bulk, well below gorm's cost a row. conflict is empty
// or an ON CONFLICT clause.
func (tx *Tx) Insert(ctx context.Context, table, conflict string, columns ...Column) error {
	in := insertion{table: table, columns: columns}
	if conflict != "" {
		in.conflict = " " + conflict
	}
	if in.len() == 0 {
		return nil
	}
	return tx.dialect.insert(ctx, tx.DB.Statement.ConnPool, in)
}

func (in insertion) head() string {
	names := make([]string, len(in.columns))
	for i, c := range in.columns {
		names[i] = `"` + c.Name + `"`
	}
	return `INSERT INTO "` + in.table + `" (` + strings.Join(names, ", ") + ")"
}

func (in insertion) len() int {
	if len(in.columns) == 0 {
		return 0
	}
	switch v := in.columns[0].Values.(type) {
	case []string:
		return len(v)
	case []int64:
		return len(v)
	case []*int64:
		return len(v)
	case []bool:
		return len(v)
	case []*string:
		return len(v)
	}
	return 0
}

func (c Column) sqlType() string {
	switch c.Values.(type) {
	case []string, []*string:
		return "text"
	case []bool:
		return "boolean"
	}
	return "bigint"
}

func (c Column) at(row int) any {
	switch v := c.Values.(type) {
	case []string:
		return v[row]
	case []int64:
		return v[row]
	case []*int64:
		if v[row] == nil {
			return nil
		}
		return *v[row]
	case []*string:
		if v[row] == nil {
			return nil
		}
		return *v[row]
	case []bool:
		return v[row]
	}
	return nil
}

func (c Column) slice(from, to int) any {
	switch v := c.Values.(type) {
	case []string:
		return v[from:to]
	case []int64:
		return v[from:to]
	case []*int64:
		return v[from:to]
	case []*string:
		return v[from:to]
	case []bool:
		return v[from:to]
	}
	return nil
}
