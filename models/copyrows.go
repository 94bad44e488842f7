package models

import (
	"context"
	"database/sql"
	"fmt"
	"strings"

	"gorm.io/gorm"
)

// eachRow gives a table's rows in the order of its key, column by column: a
// string, an int64, a bool or nil. The values hold until the next row.
func eachRow(ctx context.Context, db *gorm.DB, t *tableInfo, f func(values []any) error) error {
	query := "SELECT " + quoted(t.names()) + ` FROM "` + t.Name + `"`
	if len(t.Key) > 0 {
		query += " ORDER BY " + quoted(t.Key)
	}
	rows, err := db.WithContext(ctx).Raw(query).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	texts := make([]sql.NullString, len(t.Columns))
	numbers := make([]sql.NullInt64, len(t.Columns))
	flags := make([]sql.NullBool, len(t.Columns))
	into, values := make([]any, len(t.Columns)), make([]any, len(t.Columns))
	for i, c := range t.Columns {
		switch c.Kind {
		case kindText:
			into[i] = &texts[i]
		case kindInteger:
			into[i] = &numbers[i]
		default:
			into[i] = &flags[i]
		}
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		for i, c := range t.Columns {
			values[i] = nil
			switch {
			case c.Kind == kindText && texts[i].Valid:
				values[i] = texts[i].String
			case c.Kind == kindInteger && numbers[i].Valid:
				values[i] = numbers[i].Int64
			case c.Kind == kindBoolean && flags[i].Valid:
				values[i] = flags[i].Bool
			}
		}
		if err := f(values); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (t *tableInfo) names() []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

func quoted(names []string) string { return `"` + strings.Join(names, `", "`) + `"` }

// rowWriter writes rows of one table in bulk.
type rowWriter struct {
	ctx   context.Context
	tx    *Tx
	table *tableInfo
	held  int
	texts [][]*string
	ints  [][]*int64
	flags [][]bool
}

// copyAtOnce is how many rows a rowWriter gathers before it writes them.
const copyAtOnce = 2000

func (tx *Tx) newRowWriter(ctx context.Context, t *tableInfo) *rowWriter {
	n := len(t.Columns)
	return &rowWriter{ctx: ctx, tx: tx, table: t, texts: make([][]*string, n), ints: make([][]*int64, n), flags: make([][]bool, n)}
}

func (w *rowWriter) add(values []any) error {
	if len(values) != len(w.table.Columns) {
		return fmt.Errorf("a row of %s has %d cells and not %d", w.table.Name, len(values), len(w.table.Columns))
	}
	for i, c := range w.table.Columns {
		fits := true
		switch c.Kind {
		case kindText:
			text, ok := values[i].(string)
			fits = ok || values[i] == nil
			var p *string
			if ok {
				p = &text
			}
			w.texts[i] = append(w.texts[i], p)
		case kindInteger:
			number, ok := values[i].(int64)
			fits = ok || values[i] == nil
			var p *int64
			if ok {
				p = &number
			}
			w.ints[i] = append(w.ints[i], p)
		default:
			flag, ok := values[i].(bool)
			fits = ok
			w.flags[i] = append(w.flags[i], flag)
		}
		if !fits {
			return fmt.Errorf("column %s of %s cannot hold %v", c.Name, w.table.Name, values[i])
		}
	}
	if w.held++; w.held == copyAtOnce {
		return w.flush()
	}
	return nil
}

func (w *rowWriter) flush() error {
	if w.held == 0 {
		return nil
	}
	columns := make([]Column, len(w.table.Columns))
	for i, c := range w.table.Columns {
		switch c.Kind {
		case kindText:
			columns[i] = Column{c.Name, w.texts[i]}
		case kindInteger:
			columns[i] = Column{c.Name, w.ints[i]}
		default:
			columns[i] = Column{c.Name, w.flags[i]}
		}
	}
	in := insertion{table: w.table.Name, columns: columns, numbered: w.table.Serial != ""}
	if err := w.tx.dialect.insert(w.ctx, w.tx.DB.Statement.ConnPool, in); err != nil {
		return fmt.Errorf("writing to %s: %w", w.table.Name, err)
	}
	w.held = 0
	for i := range w.table.Columns {
		w.texts[i], w.ints[i], w.flags[i] = w.texts[i][:0], w.ints[i][:0], w.flags[i][:0]
	}
	return nil
}
