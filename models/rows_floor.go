package models

import (
	"hulltally/costing"
)

// ProgressRow is a row of progress.csv: the progress of a job as stated at a
// desk. It counts as a scanned statement of its instant does.
type ProgressRow struct {
	Job     string          `gorm:"primaryKey" csv:"job,key,ref=jobs"`
	At      costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Percent int             `csv:"percent,range=0..100"`
	Who     string          `csv:"who"`
	Why     string          `csv:"why,opt"`
}

// ApprovalRow is a row of approvals.csv: the hours of a worker's week as
// somebody approved them, or the approval taken back. The digest is over every
// piece of the week, so that a change which keeps the sums shows too.
type ApprovalRow struct {
	Worker   string          `gorm:"primaryKey" csv:"worker,key,ref=workers"`
	Week     Day             `gorm:"primaryKey" csv:"week,key"` // its Monday
	At       costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Outcome  string          `csv:"outcome,oneof=approved|withdrawn"`
	Ordinary int64           `gorm:"column:ordinary_s" csv:"ordinary"` // seconds
	Overtime int64           `gorm:"column:overtime_s" csv:"overtime"`
	Double   int64           `gorm:"column:double_s" csv:"double"`
	Digest   string          `csv:"digest,blank"`
	Who      string          `csv:"who"`
}

func (r *ApprovalRow) check(bad func(column, reason string)) {
	if d, err := r.Week.Date(); err == nil && d.Weekday() != 1 {
		bad("week", "is no Monday: name a week by its Monday")
	}
}

// The kinds of hold.
const (
	DemouldHold  = "demould"
	PostCureHold = "post-cure"
	PaintHold    = "paint"
	OtherHold    = "other"
)

// JobHoldRow is a row of job_holds.csv: how long a job has to stand once it is signed
// off before another one is begun.
type JobHoldRow struct {
	Job    string           `gorm:"primaryKey" csv:"job,key,ref=jobs"`
	Kind   string           `gorm:"primaryKey" csv:"kind,key,oneof=demould|post-cure|paint|other"`
	Before string           `gorm:"primaryKey" csv:"before,key,ref=jobs"`
	Hours  costing.Quantity `csv:"hours,positive,max=8760"`
}

func (r *JobHoldRow) check(bad func(column, reason string)) {
	if r.Before == r.Job {
		bad("before", "is the job itself: name the job that has to wait")
	}
}

// CheckRow is a row of checks.csv: a check that was noted at a desk. Those that
// the floor scans are reads.
type CheckRow struct {
	Job     string            `gorm:"primaryKey" csv:"job,key,ref=jobs"`
	At      costing.Instant   `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Check   string            `gorm:"column:kind;primaryKey" csv:"check,key,oneof=vacuum|leak|temperature|humidity"`
	Value   Decimal           `csv:"value,max=1000000"` // in the check's unit; a temperature may lie below 0
	Minutes *costing.Quantity `csv:"minutes,opt,positive,max=100000"`
	Who     string            `csv:"who"`
	Note    string            `csv:"note,opt"`
}

func (r *CheckRow) check(bad func(column, reason string)) {
	switch {
	case r.Check == "vacuum" && r.Minutes == nil:
		bad("minutes", "is blank: say over how many minutes the vacuum dropped")
	case r.Check != "vacuum" && r.Minutes != nil:
		bad("minutes", "is given: only a drop of vacuum is over minutes")
	case r.Check != "temperature" && r.Value < 0:
		bad("value", "is below 0")
	}
}

// ReworkRow is a row of reworks.csv: a job that was opened for a problem.
type ReworkRow struct {
	Job     string          `gorm:"primaryKey" csv:"job,key,ref=jobs"`
	Problem string          `csv:"problem,is=uuid"` // the read that told of it
	At      costing.Instant `gorm:"column:at_ms" csv:"at"`
	Who     string          `csv:"who"`
}

// What may become of an exception by a person's word.
const (
	Dismissed = "dismissed"
	Reopened  = "reopened"
)

// SettledRow is a row of settled.csv: somebody says that an exception needs
// nothing more done, or takes that back.
type SettledRow struct {
	Kind      string          `gorm:"primaryKey" csv:"kind,key"`
	Exception string          `gorm:"primaryKey" csv:"exception,key"`
	At        costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Outcome   string          `csv:"outcome,oneof=dismissed|reopened"`
	Who       string          `csv:"who"`
	Why       string          `csv:"why"`
}
