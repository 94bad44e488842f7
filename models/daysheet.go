package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// DaySheet is one person's day: what was booked, the breaks, and who put what
// right.
type DaySheet struct {
	Worker      *costing.Worker
	Day         costing.Date
	Pieces      []clock.Piece
	Opened      map[string]*EntryOf // what opened the bookings, by id
	Corrections []CorrectionRow
	Shift       [2]int64 // seconds at which the shift begins and ends; 0, 0: none
	Breaks      [][2]int64
	Week        *WeekHours // the whole week
}

// DaySheet puts a person's day together; what runs counts up to now.
func (tx *Tx) DaySheet(ctx context.Context, worker string, day costing.Date, now costing.Instant) (*DaySheet, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	y := snap.Yard
	w := y.Workers[worker]
	if w == nil {
		return nil, Errorf(NotFound, "there is no worker %.40q", worker)
	}
	s := &DaySheet{Worker: w, Day: day, Opened: map[string]*EntryOf{}}
	weeks, err := tx.weekHours(snap, day.Monday(), now, []string{worker})
	if err != nil {
		return nil, err
	}
	if s.Week = weeks[worker]; s.Week == nil {
		s.Week = &WeekHours{Worker: worker, Week: day.Monday(), Digest: digest(nil)}
	}
	for _, p := range s.Week.Pieces {
		if p.Date != day {
			continue
		}
		s.Pieces = append(s.Pieces, p)
		if s.Opened[p.Opened] == nil {
			if s.Opened[p.Opened], err = tx.entryOf(snap, p.Opened); err != nil {
				return nil, err
			}
		}
	}
	slices.SortFunc(s.Pieces, func(a, b clock.Piece) int { return cmp.Compare(a.Start, b.Start) })
	rows, err := tx.CorrectionsOf(ctx, worker)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		if costing.DateOf(r.At, y.Zone) == day {
			s.Corrections = append(s.Corrections, r)
		}
	}
	if shift := y.Shifts[w.Shift]; shift != nil {
		if hours, works := shift.Hours[day.Weekday()]; works {
			from, to := hours.On(day, y.Zone)
			s.Shift = [2]int64{from.Second(), to.Second()}
		}
		for _, b := range shift.BreaksOn(day) {
			from, to := b.On(day, y.Zone)
			s.Breaks = append(s.Breaks, [2]int64{from.Second(), to.Second()})
		}
	}
	return s, nil
}

// FreeCorrection is a correction at an instant that no other one of its kind
// and target has yet: one that was made and taken back stays on record, so the
// next of its kind comes a millisecond later. Time is booked in whole seconds.
func (tx *Tx) FreeCorrection(ctx context.Context, row CorrectionRow) (CorrectionRow, error) {
	rows, err := tx.CorrectionsOf(ctx, row.Worker)
	if err != nil {
		return row, err
	}
	taken := map[costing.Instant]bool{}
	for _, r := range rows {
		if r.Kind == row.Kind && r.Target == row.Target {
			taken[r.At] = true
		}
	}
	for taken[row.At] && row.Kind == AddEntry {
		row.At++
	}
	return row, nil
}
