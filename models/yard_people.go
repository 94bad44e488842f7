package models

import (
	"context"
	"fmt"

	"hulltally/costing"
)

func yardPeople(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, crewsFile, func(r *CrewRow) error {
		y.Crews[r.Crew] = &costing.Crew{Key: r.Crew, Name: r.Name}
		return nil
	}); err != nil {
		return err
	}
	// Workers come by number, so crews' members are sorted.
	if err := each(ctx, tx, workersFile, func(r *WorkerRow) error {
		y.Workers[r.Number] = &costing.Worker{
			Key: r.Number, Name: r.Name, Grade: r.Grade, Crew: r.Crew, Shift: r.Shift, SignsOff: r.SignsOff, Language: r.Language,
		}
		if c := y.Crews[r.Crew]; c != nil {
			c.Members = append(c.Members, r.Number)
		}
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, ratesFile, func(r *RateRow) error {
		w := y.Workers[r.Worker]
		if w == nil {
			return fmt.Errorf("there is no worker %s", r.Worker)
		}
		return addDated(&w.Rates, r.From, r.Rate)
	}); err != nil {
		return err
	}
	return each(ctx, tx, gradesFile, func(r *GradeRow) error {
		rates := y.Grades[r.Grade]
		err := addDated(&rates, r.From, r.StandardRate)
		y.Grades[r.Grade] = rates
		return err
	})
}

func addDated[T any](d *costing.Dated[T], from Day, v T) error {
	date, err := from.Date()
	if err != nil {
		return err
	}
	*d = d.Add(date, v)
	return nil
}

func yardTimes(ctx context.Context, tx *Tx, y *costing.Yard) error {
	shift := func(key string) *costing.Shift {
		s := y.Shifts[key]
		if s == nil {
			s = &costing.Shift{Key: key, Hours: map[int]costing.Span{}}
			y.Shifts[key] = s
		}
		return s
	}
	if err := each(ctx, tx, shiftsFile, func(r *ShiftRow) error {
		shift(r.Shift).Hours[r.Weekday] = costing.Span{Start: int(r.Start), End: int(r.End)}
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, breaksFile, func(r *BreakRow) error {
		s := shift(r.Shift)
		s.Breaks = append(s.Breaks, costing.Break{
			Weekday: r.Weekday, Span: costing.Span{Start: int(r.Start), End: int(r.End)},
		})
		return nil
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, holidaysFile, func(r *HolidayRow) error {
		date, err := r.Date.Date()
		y.Holidays[date] = r.Name
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, indirectsFile, func(r *IndirectRow) error {
		y.Indirects[r.Indirect] = &costing.Indirect{Key: r.Indirect, Name: r.Name}
		return nil
	}); err != nil {
		return err
	}
	return each(ctx, tx, stationsFile, func(r *StationRow) error {
		y.Stations[r.Station] = &costing.Station{
			Key: r.Station, Name: r.Name, Kind: costing.StationKind(r.Kind), Place: r.Place,
		}
		return nil
	})
}
