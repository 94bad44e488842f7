package models

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"hulltally/costing"
)

// Change is one change of the yard's own data, as people read it.
type Change struct {
	Seq       int64
	At        costing.Instant
	Who       string
	File, Key string
	New       bool
	Cells     []CellChange // in the file's order; of a new row those that aren't blank
	Entry     int64        // of the logbook; 0 where none answers for it
}

// CellChange is one cell of a changed row.
type CellChange struct{ Column, Before, After string }

// ChangesAsk says which changes are wanted.
type ChangesAsk struct {
	Words  string // each has to stand somewhere in the change
	File   string // only of this yard file
	Entry  int64  // only those that this entry of the logbook made
	Before int64  // only changes with a lower number; 0: from the newest
	Limit  int
}

// Changes lists changes of the yard's own data, the newest first.
func (s *Store) Changes(ctx context.Context, ask ChangesAsk) (list []Change, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		list, err = tx.changes(ctx, ask)
		return err
	})
	return list, err
}

func (tx *Tx) changes(ctx context.Context, ask ChangesAsk) ([]Change, error) {
	db := tx.DB.WithContext(ctx).Order("seq DESC").Limit(ask.Limit)
	if ask.Before > 0 {
		db = db.Where("seq < ?", ask.Before)
	}
	if ask.File != "" {
		db = db.Where("file = ?", noted(ask.File))
	}
	if ask.Entry != 0 {
		var of LogbookRow
		found := tx.DB.WithContext(ctx).Limit(1).Find(&of, "seq = ?", ask.Entry)
		if found.Error != nil {
			return nil, found.Error
		}
		if found.RowsAffected == 0 {
			return nil, Errorf(NotFound, "the logbook has no entry %d", ask.Entry)
		}
		db = db.Where("seq > ? AND seq <= ?", of.RowsFrom, of.RowsTo)
	}
	for _, word := range strings.Fields(noted(ask.Words)) {
		// Cells are kept as JSON, so that is how a word stands in them.
		db = db.Where(`(LOWER(who || ' ' || file || ' ' || row_key) LIKE ? ESCAPE '\' OR LOWER(row_before || ' ' || row_after) LIKE ? ESCAPE '\')`,
			likeWord(word), likeWord(inJSON(word)))
	}
	var rows []HistoryRow
	if err := db.Find(&rows).Error; err != nil {
		return nil, err
	}
	entries, err := tx.entriesOfRows(rows)
	if err != nil {
		return nil, err
	}
	list := make([]Change, len(rows))
	for i := range rows {
		if list[i], err = rows[i].change(); err != nil {
			return nil, fmt.Errorf("change %d: %w", rows[i].Seq, err)
		}
		list[i].Entry = entries(rows[i].Seq)
	}
	return list, nil
}

// entriesOfRows finds which entry of the logbook made each change.
func (tx *Tx) entriesOfRows(rows []HistoryRow) (func(seq int64) int64, error) {
	if len(rows) == 0 {
		return nil, nil
	}
	var notes []LogbookRow
	err := tx.DB.Select("seq, rows_from, rows_to").Order("rows_to").
		Find(&notes, "rows_to >= ? AND rows_from < ?", rows[len(rows)-1].Seq, rows[0].Seq).Error
	return func(seq int64) int64 {
		i, _ := slices.BinarySearchFunc(notes, seq, func(n LogbookRow, seq int64) int { return int(n.RowsTo - seq) })
		if i < len(notes) && notes[i].RowsFrom < seq {
			return notes[i].Seq
		}
		return 0
	}, err
}

// change reads a recorded row: what it changed, in the order of the file's columns.
func (h *HistoryRow) change() (Change, error) {
	c := Change{Seq: h.Seq, At: costing.Instant(h.AtMs), Who: h.Who, File: h.File, Key: h.RowKey, New: h.Before == ""}
	before, err := cellsIn(h.Before)
	if err != nil {
		return c, err
	}
	after, err := cellsIn(h.After)
	if err != nil {
		return c, err
	}
	columns := sorted(after)
	for _, name := range sorted(before) {
		if _, both := after[name]; !both {
			columns = append(columns, name)
		}
	}
	order := columnOrder(h.File)
	slices.SortStableFunc(columns, func(a, b string) int { return order[a] - order[b] })
	for _, name := range columns {
		if before[name] != after[name] {
			c.Cells = append(c.Cells, CellChange{name, before[name], after[name]})
		}
	}
	return c, nil
}

// columnOrder is where each column of a yard file stands.
func columnOrder(name string) map[string]int {
	order := map[string]int{}
	for _, f := range yardFiles {
		if f.name() == name {
			for i, column := range f.names() {
				order[column] = i
			}
		}
	}
	return order
}

// YardFileNames lists the names of the yard files, for a choice among them.
func YardFileNames() []string {
	names := make([]string, len(yardFiles))
	for i, f := range yardFiles {
		names[i] = f.name()
	}
	return names
}
