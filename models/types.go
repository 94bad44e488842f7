package models

import "hulltally/costing"

// Day is a date as ISO 8601 text; empty is no date.
type Day string

// Date is the day as the engine counts it; no date is costing.FromStart.
func (d Day) Date() (costing.Date, error) {
	if d == "" {
		return costing.FromStart, nil
	}
	return costing.ParseDate(string(d))
}

// optional is the date, or nil where there is none.
func (d Day) optional() (*costing.Date, error) {
	if d == "" {
		return nil, nil
	}
	date, err := costing.ParseDate(string(d))
	return &date, err
}

// Clock is a local time of day in minutes after midnight.
type Clock int

// Decimal is a plain number in millionths: kilograms, metres, amounts of a
// currency that the row names.
type Decimal int64
