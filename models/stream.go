package models

import (
	"context"
	"database/sql"
)

// StreamOut reads every row that a rebuild looks at and does nothing with it:
// the limit that a rebuild is measured against.
func (s *Store) StreamOut(ctx context.Context) (rows int, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		for _, table := range []string{"reads", "entries", "pieces", "postings", "totals", "fine_totals", "ledger_totals"} {
			n, err := tx.streamTable(ctx, table)
			if err != nil {
				return err
			}
			rows += n
		}
		return nil
	})
	return rows, err
}

func (tx *Tx) streamTable(ctx context.Context, table string) (n int, err error) {
	rows, err := tx.DB.WithContext(ctx).Table(table).Rows()
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	columns, err := rows.ColumnTypes()
	if err != nil {
		return 0, err
	}
	into := make([]any, len(columns))
	for i, c := range columns {
		if c.DatabaseTypeName() == "TEXT" {
			into[i] = new(string)
		} else {
			into[i] = new(sql.NullInt64)
		}
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return n, err
		}
		n++
	}
	return n, rows.Err()
}
