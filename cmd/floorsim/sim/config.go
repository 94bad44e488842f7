package sim

import (
	"time"

	"hulltally/costing"
)

// Config says which yard to simulate and for how long.
type Config struct {
	Seed   uint64
	Start  costing.Date // a Monday suits best
	Months int
	People int
	Hulls  int // 0: as many as the people can be busy with
	Rates  Rates
}

// Rates are the mishaps of a floor, in thousandths of the occasions on which
// each could happen.
type Rates struct {
	Absent          int // of worker-days
	Late            int // of mornings: arrives 20 to 60 minutes after the shift's start
	Overtime        int // of long weekdays
	Saturday        int // of worker-Saturdays
	Sunday          int // of worker-Sundays
	ForgottenOff    int // of worker-days
	OffCorrected    int // of forgotten clock-offs
	ForgottenOn     int // of worker-days
	OnCorrected     int // of forgotten clock-ons
	WrongCard       int // of clock-ons: wrong card, right card seconds later
	WrongUnnoticed  int // of clock-ons: the wrong card stays in the books
	WrongCorrected  int // of unnoticed wrong cards
	Undo            int // of clock-ons and of issues
	Bounce          int // of reads
	UnknownCode     int // of sentences
	QuantityOnly    int // of issues: a quantity before its lot
	NotALeader      int // of sign-offs: someone who may not signs first
	OfflineStation  int // of station-days
	ForgottenIssue  int // of issue lines: material leaves unscanned
	OverIssue       int // of lots that run out: the empty label is scanned once more
	Return          int // of issue lines of measured items
	UnweighedWaste  int // of wastes: thrown away without a scale
	LaterInvoice    int // of lots
	SilentProgress  int // of quarter marks: nobody states them
	SecondJob       int // of worker-days with a change of job at midday
	IssueAtTheClock int // of issue sentences: scanned at a clock station by the worker
}

// CommonRates are mishaps as a tidy yard of this size has them.
func CommonRates() Rates {
	return Rates{
		Absent: 70, Late: 20, Overtime: 110, Saturday: 90, Sunday: 10,
		ForgottenOff: 15, OffCorrected: 650, ForgottenOn: 8, OnCorrected: 700,
		WrongCard: 8, WrongUnnoticed: 4, WrongCorrected: 500, Undo: 5, Bounce: 8,
		UnknownCode: 5, QuantityOnly: 6, NotALeader: 20, OfflineStation: 30,
		ForgottenIssue: 12, OverIssue: 80, Return: 35, UnweighedWaste: 150,
		LaterInvoice: 350, SilentProgress: 120, SecondJob: 130, IssueAtTheClock: 120,
	}
}

// Default is the demonstration yard: 42 people and 7 hulls from 4 May 2026 to
// 30 October 2026.
func Default() Config {
	return Config{Seed: 1, Start: costing.NewDate(2026, time.May, 4), Months: 6, People: 42, Rates: CommonRates()}
}

// hulls is the number of hulls asked for, or what the people can build.
func (c Config) hulls() int {
	if c.Hulls > 0 {
		return c.Hulls
	}
	return max(1, (c.People*c.Months+35)/36)
}

// blocks is how often the pattern of 42 people repeats.
func (c Config) blocks() int { return max(1, (c.People+21)/42) }

// End is the last day simulated: the last Friday before Months have passed.
func (c Config) End() costing.Date {
	t := dayTime(c.Start).AddDate(0, c.Months, -1)
	d := costing.NewDate(t.Year(), t.Month(), t.Day())
	for d.Weekday() != 5 && d > c.Start {
		d--
	}
	return d
}

func dayTime(d costing.Date) time.Time { return time.Unix(int64(d)*86400, 0).UTC() }
