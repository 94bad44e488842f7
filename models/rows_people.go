package models

import "hulltally/costing"

// PolicyRow is a row of policy.csv: a rule of the yard from a day on.
type PolicyRow struct {
	Key   string `gorm:"primaryKey" csv:"key,key"`
	From  Day    `gorm:"column:from_date;primaryKey" csv:"from,opt,key"`
	Value string `csv:"value"`
}

// WorkerRow is a row of workers.csv.
type WorkerRow struct {
	Number   string `gorm:"primaryKey" csv:"number,key"`
	Name     string `csv:"name,personal"`
	Grade    string `csv:"grade"`
	Crew     string `csv:"crew,opt,ref=crews"`
	Shift    string `csv:"shift,ref=shifts"`
	SignsOff bool   `csv:"signs_off,opt"`
	Language string `csv:"language,opt,is=language"` // stations speak it to this worker
}

// RateRow is a row of rates.csv: a worker's rate per hour from a day on.
type RateRow struct {
	Worker string        `gorm:"primaryKey" csv:"worker,key,ref=workers"`
	From   Day           `gorm:"column:from_date;primaryKey" csv:"from,key"`
	Rate   costing.Price `csv:"rate,nonneg"`
}

// GradeRow is a row of grades.csv: a grade's standard rate per hour, on-costs included.
type GradeRow struct {
	Grade        string        `gorm:"primaryKey" csv:"grade,key"`
	From         Day           `gorm:"column:from_date;primaryKey" csv:"from,key"`
	StandardRate costing.Price `csv:"standard_rate,nonneg"`
}

// ShiftRow is a row of shifts.csv: a shift's hours on one weekday.
type ShiftRow struct {
	Shift   string `gorm:"primaryKey" csv:"shift,key"`
	Weekday int    `gorm:"primaryKey;autoIncrement:false" csv:"weekday,key,range=1..7"`
	Start   Clock  `gorm:"column:start_minute" csv:"start"`
	End     Clock  `gorm:"column:end_minute" csv:"end"`
}

// BreakRow is a row of breaks.csv: an unpaid break; weekday 0 is every day.
type BreakRow struct {
	Shift   string `gorm:"primaryKey" csv:"shift,key,ref=shifts"`
	Weekday int    `gorm:"primaryKey;autoIncrement:false" csv:"weekday,opt,key,range=1..7"`
	Start   Clock  `gorm:"column:start_minute;primaryKey;autoIncrement:false" csv:"start,key"`
	End     Clock  `gorm:"column:end_minute" csv:"end"`
}

func (r *BreakRow) check(bad func(column, reason string)) {
	if r.Start == r.End {
		bad("end", "is the break's start: give the time it ends")
	}
}

// HolidayRow is a row of holidays.csv.
type HolidayRow struct {
	Date Day    `gorm:"primaryKey" csv:"date,key"`
	Name string `csv:"name"`
}

// CrewRow is a row of crews.csv.
type CrewRow struct {
	Crew string `gorm:"primaryKey" csv:"crew,key"`
	Name string `csv:"name"`
}

// IndirectRow is a row of indirects.csv: time that no hull bears.
type IndirectRow struct {
	Indirect string `gorm:"primaryKey" csv:"indirect,key,is=target"`
	Name     string `csv:"name"`
}

// StationRow is a row of stations.csv: a place with a scanner.
type StationRow struct {
	Station string `gorm:"primaryKey" csv:"station,key"`
	Name    string `csv:"name"`
	Kind    string `csv:"kind,oneof=clock|stores"`
	Place   string `csv:"place,oneof=ashore|afloat"`
}
