package models

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
)

// removedName stands for a name that was removed, before the number.
const removedName = "Number "

// didRemoveName is what the logbook calls it.
const didRemoveName = "name removed"

// RemoveName takes a leaver's name out of the yard: from the worker's row, from
// where it stands as that of who did something, and from the record of changes.
// The number stays, and under it every hour and cent; the badges are revoked.
// It is the one place where something recorded is changed, since
// data-protection law may ask for it; the logbook says that it was done, of whom
// by number, when and by whom, and its seals still hold: they cover a salted
// hash of the name, whose salt goes with it.
func (s *Store) RemoveName(ctx context.Context, number string, by Deed) error {
	return s.InTx(ctx, func(tx *Tx) error {
		var w WorkerRow
		found := tx.DB.WithContext(ctx).Limit(1).Find(&w, "number = ?", number)
		if found.Error != nil {
			return found.Error
		}
		if found.RowsAffected == 0 {
			return Errorf(NotFound, "there is no worker %.40q", number)
		}
		instead := removedName + number
		if w.Name == instead {
			return Errorf(Conflict, "the name of worker %s has been removed already", number)
		}
		names, err := tx.namesOf(number)
		if err != nil {
			return err
		}
		names = append(names, w.Name)
		for _, f := range yardFiles {
			if err := tx.removeFrom(f, number, names, instead); err != nil {
				return fmt.Errorf("%s: %w", f.name(), err)
			}
		}
		err = tx.DB.Exec("UPDATE codes SET revoked_ms = ? WHERE kind = 'worker' AND key = ? AND revoked_ms IS NULL", int64(by.At), number).Error
		if err != nil {
			return err
		}
		if err := tx.Bump(); err != nil {
			return err
		}
		return note(tx.DB, by, didRemoveName, "worker "+number, "")
	})
}

// namesOf are the names that a worker's row ever had: somebody who married
// stands under both in what was signed before.
func (tx *Tx) namesOf(number string) (names []string, err error) {
	var rows []HistoryRow
	if err := tx.DB.Find(&rows, "file = ? AND row_key = ?", workersFile.name(), number).Error; err != nil {
		return nil, err
	}
	for _, r := range rows {
		for _, text := range []string{r.Before, r.After} {
			cells, err := cellsIn(text)
			if err != nil {
				return nil, err
			}
			if name := cells["name"]; name != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names, nil
}

// removeFrom takes names out of one file's table and the record of its changes.
// Another worker of the same name keeps it in the workers' own file.
func (tx *Tx) removeFrom(f yardFile, number string, names []string, instead string) error {
	for _, column := range f.personal() {
		update := tx.DB.Table(stemOf(f)).Where(map[string]any{column: names})
		if f == yardFile(workersFile) {
			update = update.Where("number = ?", number)
		}
		if err := update.Update(column, instead).Error; err != nil {
			return err
		}
		recorded := tx.DB.Where("file = ?", f.name())
		if f == yardFile(workersFile) {
			recorded = recorded.Where("row_key = ?", number)
		}
		var rows []HistoryRow
		if err := recorded.Find(&rows).Error; err != nil {
			return err
		}
		for i := range rows {
			if err := tx.removeFromRow(&rows[i], column, names, instead); err != nil {
				return err
			}
		}
	}
	return nil
}

// removeFromRow takes names out of one recorded change, and the salts of their hashes.
func (tx *Tx) removeFromRow(r *HistoryRow, column string, names []string, instead string) error {
	hidden := blinds{}
	if r.Blind != "" {
		if err := json.Unmarshal([]byte(r.Blind), &hidden); err != nil {
			return err
		}
	}
	touched := false
	for side, text := range map[string]*string{"before": &r.Before, "after": &r.After} {
		cells, err := cellsIn(*text)
		if err != nil {
			return err
		}
		if !slices.Contains(names, cells[column]) {
			continue
		}
		cells[column] = instead
		written, err := json.Marshal(cells)
		if err != nil {
			return err
		}
		*text, touched = string(written), true
		place := side + "." + column
		hidden[place] = blind{Hash: hidden[place].Hash}
	}
	if !touched {
		return nil
	}
	return tx.DB.Exec("UPDATE history SET row_before = ?, row_after = ?, blind = ? WHERE seq = ?", r.Before, r.After, hidden.text(), r.Seq).Error
}
