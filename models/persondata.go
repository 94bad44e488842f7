package models

import (
	"context"

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
