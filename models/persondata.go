package models

import (
	"context"
	"encoding/json"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// WorkerRecord is what is kept of one worker: the person's own record.
type WorkerRecord struct {
	Number, Name, Grade, Crew, Shift string
	SignsOff                         bool
	Left                             bool // the name has been removed
	Codes                            []CodeRow
	Weeks                            []WorkedWeek
	Corrections                      []CorrectionRow
	Reads                            int64 // scans of the person's badges
	Entries                          int64 // what the person completed: clockings, issues, sign-offs
	Changes                          int64 // changes of the person's own row
}

// WorkedWeek is the time of one ISO week, in seconds.
type WorkedWeek struct {
	Week                       string
	Ordinary, Overtime, Double int64
	Jobs, Indirect             int64
}

// removedName stands for a name that was removed, before the number.
const removedName = "Number "

// WorkerRecord reads what is kept of a worker. Rates are left out: the record
// says what a person did, the payroll what it was paid.
func (tx *Tx) WorkerRecord(ctx context.Context, f *Figures, number string) (*WorkerRecord, error) {
	w := f.Yard.Workers[number]
	if w == nil {
		return nil, Errorf(NotFound, "there is no worker %.40q: see workers.csv for the yard's workers", number)
	}
	r := &WorkerRecord{Number: w.Key, Name: w.Name, Grade: w.Grade, Crew: w.Crew, Shift: w.Shift, SignsOff: w.SignsOff}
	r.Left = w.Name == removedName+w.Key
	db := tx.DB.WithContext(ctx)
	if err := db.Order("issued_ms, payload").Find(&r.Codes, "kind = 'worker' AND key = ?", number).Error; err != nil {
		return nil, err
	}
	payloads := make([]string, len(r.Codes))
	for i, c := range r.Codes {
		payloads[i] = c.Payload
	}
	if err := db.Model(&readRecord{}).Where("payload IN ?", payloads).Count(&r.Reads).Error; err != nil {
		return nil, err
	}
	if err := db.Model(&entryRecord{}).Where("worker = ?", number).Count(&r.Entries).Error; err != nil {
		return nil, err
	}
	if err := db.Table("history").Where("file = 'workers.csv' AND row_key = ?", number).Count(&r.Changes).Error; err != nil {
		return nil, err
	}
	var err error
	if r.Corrections, err = tx.CorrectionsOf(ctx, number); err != nil {
		return nil, err
	}
	return r, tx.workedWeeks(f, r)
}

func (tx *Tx) workedWeeks(f *Figures, r *WorkerRecord) error {
	weeks := map[string]*WorkedWeek{}
	err := tx.Pieces(f, costing.FromStart, f.Day, func(p *clock.Piece) error {
		if p.Worker != r.Number {
			return nil
		}
		w := weeks[p.Date.Week()]
		if w == nil {
			w = &WorkedWeek{Week: p.Date.Week()}
			weeks[w.Week] = w
		}
		switch p.Band {
		case clock.Overtime:
			w.Overtime += p.Seconds
		case clock.Double:
			w.Double += p.Seconds
		default:
			w.Ordinary += p.Seconds
		}
		if p.Job != "" {
			w.Jobs += p.Seconds
		} else {
			w.Indirect += p.Seconds
		}
		return nil
	})
	for _, week := range sorted(weeks) {
		r.Weeks = append(r.Weeks, *weeks[week])
	}
	return err
}

// RemoveName takes a leaver's name out of the yard: from the worker's row and
// from the record of its changes. The number stays, and under it every hour
// and cent; the badges are revoked. It is the one place where something
// recorded is changed, since data-protection law may ask for it; the logbook
// says that it was done, of whom by number, when and by whom.
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
		if err := tx.DB.Exec("UPDATE workers SET name = ? WHERE number = ?", instead, number).Error; err != nil {
			return err
		}
		if err := tx.DB.Exec("UPDATE corrections SET who = ? WHERE who = ?", instead, w.Name).Error; err != nil {
			return err
		}
		if err := tx.removeFromHistory("workers.csv", "name", w.Name, instead, "row_key = ?", number); err != nil {
			return err
		}
		if err := tx.removeFromHistory("corrections.csv", "who", w.Name, instead, "1 = 1"); err != nil {
			return err
		}
		err := tx.DB.Exec("UPDATE codes SET revoked_ms = ? WHERE kind = 'worker' AND key = ? AND revoked_ms IS NULL", int64(by.At), number).Error
		if err != nil {
			return err
		}
		if err := tx.Bump(); err != nil {
			return err
		}
		return note(tx.DB, by, "name removed", "worker "+number, "")
	})
}

// removeFromHistory replaces a name in one column of one file's recorded rows.
// A worker's row loses whatever name it had; elsewhere only the very name goes.
func (tx *Tx) removeFromHistory(file, column, name, instead, where string, args ...any) error {
	var rows []HistoryRow
	if err := tx.DB.Table("history").Where("file = ?", file).Where(where, args...).Find(&rows).Error; err != nil {
		return err
	}
	for _, r := range rows {
		before, err := withoutName(r.Before, column, name, instead)
		if err != nil {
			return err
		}
		after, err := withoutName(r.After, column, name, instead)
		if err != nil {
			return err
		}
		if before == r.Before && after == r.After {
			continue
		}
		if err := tx.DB.Exec("UPDATE history SET row_before = ?, row_after = ? WHERE seq = ?", before, after, r.Seq).Error; err != nil {
			return err
		}
	}
	return nil
}

// withoutName replaces a name in one cell of a recorded row.
func withoutName(row, column, name, instead string) (string, error) {
	if row == "" {
		return "", nil
	}
	cells := map[string]string{}
	if err := json.Unmarshal([]byte(row), &cells); err != nil {
		return "", err
	}
	if column != "name" && cells[column] != name {
		return row, nil
	}
	cells[column] = instead
	text, err := json.Marshal(cells)
	return string(text), err
}
