package models

import (
	"encoding/json"
	"strings"
)

// HistoryRow is one change of the yard's own data. Rows are only ever added;
// Before is empty where the row was new.
type HistoryRow struct {
	Seq    int64 `gorm:"primaryKey"`
	AtMs   int64
	Who    string
	File   string
	RowKey string
	Before string `gorm:"column:row_before"` // JSON, cells by column
	After  string `gorm:"column:row_after"`
	Blind  string // hashes of the cells that name a person
}

// TableName implements gorm's Tabler.
func (HistoryRow) TableName() string { return "history" }

// writeHistory appends a load's edits of one file.
func writeHistory[R any](l *loading, f *file[R], edits []Edit[R]) error {
	n := len(edits)
	at, who, files := make([]int64, n), make([]string, n), make([]string, n)
	key, before, after, hidden := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	personal := f.personal()
	for i, e := range edits {
		at[i], who[i], files[i], key[i] = int64(l.now()), l.opts.Who, f.name(), e.Key
		after[i] = f.json(e.After)
		if e.Before != nil {
			before[i] = f.json(e.Before)
		}
		b, err := blindsOf(personal, before[i], after[i])
		if err != nil {
			return err
		}
		hidden[i] = b.text()
	}
	return l.tx.Insert(l.ctx, "history", "",
		Column{"at_ms", at}, Column{"who", who}, Column{"file", files},
		Column{"row_key", key}, Column{"row_before", before}, Column{"row_after", after},
		Column{"blind", hidden})
}

// json is the row as an object of its cells that aren't blank, in column order.
func (f *file[R]) json(row *R) string {
	var b strings.Builder
	b.WriteByte('{')
	for i, cell := range f.cellsOf(row) {
		if cell == "" {
			continue
		}
		if b.Len() > 1 {
			b.WriteByte(',')
		}
		b.WriteString(`"` + f.columns[i].name + `":`)
		quoted, _ := json.Marshal(cell) // a string always has a JSON form
		b.Write(quoted)
	}
	b.WriteByte('}')
	return b.String()
}
