package models

import (
	"context"
	"maps"
	"slices"
	"strings"
)

// Bounds of what is noted of one version, and of how long it is.
const (
	mostKeysNoted    = 500
	versionsNoted    = 1000
	mostChangesTaken = 5000
)

// rowsChanged are the rows of one file that changed, by the first cell of
// their keys.
type rowsChanged struct {
	all  bool
	keys map[string]bool
}

// yardChanges is what changed of the yard's own data, by the stem of the file.
type yardChanges map[string]*rowsChanged

func (ch yardChanges) add(stem, key string) {
	rows := ch[stem]
	if rows == nil {
		rows = &rowsChanged{keys: map[string]bool{}}
		ch[stem] = rows
	}
	if key == "" || len(rows.keys) >= mostKeysNoted {
		rows.all = true
		return
	}
	rows.keys[key] = true
}

// any reports whether any of the files changed.
func (ch yardChanges) any(files ...yardFile) bool {
	return slices.ContainsFunc(files, func(f yardFile) bool { return ch[stemOf(f)] != nil })
}

// of are the keys of a file's changed rows; nil stands for all of them.
func (ch yardChanges) of(f yardFile) only {
	rows := ch[stemOf(f)]
	switch {
	case rows == nil:
		return only{}
	case rows.all:
		return nil
	}
	return slices.Sorted(maps.Keys(rows.keys))
}

// note writes what the version that this transaction makes has changed. A
// version of which nothing is noted is read anew as a whole.
func (ch yardChanges) note(ctx context.Context, tx *Tx) error {
	var version []int64
	var files, keys []string
	for _, stem := range slices.Sorted(maps.Keys(ch)) {
		list := []string{""}
		if !ch[stem].all {
			list = slices.Sorted(maps.Keys(ch[stem].keys))
		}
		for _, key := range list {
			version, files, keys = append(version, tx.Version), append(files, stem), append(keys, key)
		}
	}
	if err := tx.DB.WithContext(ctx).Exec("DELETE FROM yard_changes WHERE version <= ?", tx.Version-versionsNoted).Error; err != nil {
		return err
	}
	return tx.Insert(ctx, "yard_changes", "ON CONFLICT DO NOTHING", Column{"version", version}, Column{"file", files}, Column{"row_key", keys})
}

// changesSince is what changed after a version; known is false where some
// version of them tells nothing.
func (tx *Tx) changesSince(ctx context.Context, version int64) (ch yardChanges, known bool, err error) {
	var rows []struct {
		Version int64
		File    string
		RowKey  string
	}
	err = tx.DB.WithContext(ctx).Table("yard_changes").Where("version > ? AND version <= ?", version, tx.Version).
		Limit(mostChangesTaken + 1).Find(&rows).Error
	if err != nil || len(rows) > mostChangesTaken {
		return nil, false, err
	}
	ch = yardChanges{}
	told := map[int64]bool{}
	for _, r := range rows {
		told[r.Version] = true
		ch.add(r.File, r.RowKey)
	}
	return ch, int64(len(told)) == tx.Version-version, nil
}

// changes are what the load changed, for other servers to follow.
func (l *loading) changesMade(issued []CodeRow) yardChanges {
	ch := yardChanges{}
	for _, sh := range l.sheets {
		sh.changed(func(key string) {
			first, _, _ := strings.Cut(key, keySeparator)
			ch.add(strings.TrimSuffix(sh.fileName(), ".csv"), first)
		})
	}
	for _, c := range issued {
		ch.add(codesFile.stem, c.Payload)
	}
	return ch
}
