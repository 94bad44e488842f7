package clock

import (
	"cmp"

	"hulltally/costing"
)

// CheckKind is a check that the floor notes on a job.
type CheckKind string

// The checks there are. What they have to come to is said by the maker's data
// sheet and the yard's own procedure, never here.
const (
	VacuumDrop  CheckKind = "vacuum"
	LeaksFound  CheckKind = "leak"
	Temperature CheckKind = "temperature"
	Humidity    CheckKind = "humidity"
)

// CheckKinds lists the checks in the order they are shown.
var CheckKinds = []CheckKind{VacuumDrop, LeaksFound, Temperature, Humidity}

// Unit is the one the check's value is kept in.
func (k CheckKind) Unit() costing.Unit {
	switch k {
	case VacuumDrop:
		return costing.Millibar
	case Temperature:
		return costing.Celsius
	case Humidity:
		return costing.Percent
	}
	return costing.Each
}

// Of converts a measure to the check's unit; ok is false where it cannot be.
func (k CheckKind) Of(m costing.Measure) (v costing.Quantity, ok bool) {
	switch {
	case m.Unit == "" || m.Unit == k.Unit():
		return m.Value, true
	case k == VacuumDrop && m.Unit == costing.Hectopascal:
		return m.Value, true // 1 hPa is 1 mbar (BIPM, The International System of Units, table of non-SI units)
	case k == VacuumDrop && m.Unit == costing.Kilopascal:
		v, err := costing.MulRound(int64(m.Value), 10, 1)
		return costing.Quantity(v), err == nil
	}
	return 0, false
}

// ProblemKind is what a problem card tells of.
type ProblemKind string

// The problems there are pictures of.
const (
	LeakProblem     ProblemKind = "leak"
	DrySpot         ProblemKind = "dry_spot"
	Damage          ProblemKind = "damage"
	MissingMaterial ProblemKind = "missing"
	WaitingProblem  ProblemKind = "waiting"
	Unsafe          ProblemKind = "unsafe"
	Idea            ProblemKind = "idea"
)

// ProblemKinds lists the problems in the order of their pictures.
var ProblemKinds = []ProblemKind{LeakProblem, DrySpot, Damage, MissingMaterial, WaitingProblem, Unsafe, Idea}

// let drops what waits for a badge, a value or a picture.
func (c *Context) let() { c.Sign, c.Check, c.Valued, c.Value, c.Problem = 0, "", false, 0, false }

// asks reports whether a check or a problem waits; a badge then only says who
// notes it.
func (c *Context) asks() bool { return c.Check != "" || c.Problem }

func (c *Context) noter(r *Read) Result {
	c.Worker, c.Crew = r.Token.Key, ""
	if c.Problem {
		return wait("problem_by", Problem)
	}
	return wait("check_by", Measure)
}

func (c *Context) check(r *Read) Result {
	if c.Job == "" {
		return refuse("job_first", "")
	}
	c.let()
	c.Check, c.Mode, c.Lot = r.Token.Key, "", ""
	return wait("check", Measure)
}

// checked takes the value of a check; a drop of vacuum says nothing without the
// minutes it took.
func (c *Context) checked(r *Read) Result {
	kind, m := CheckKind(c.Check), r.Token.Measure
	if c.Valued {
		if m.Unit != "" && m.Unit != costing.Minute || m.Value <= 0 {
			return refuse("check_unit", r.Payload)
		}
		return c.noted(r, c.Value, m.Value)
	}
	v, ok := kind.Of(m)
	if !ok || v < 0 {
		return refuse("check_unit", r.Payload)
	}
	if kind == VacuumDrop {
		c.Valued, c.Value = true, v
		return wait("check_minutes", Measure)
	}
	return c.noted(r, v, 0)
}

func (c *Context) noted(r *Read, v, minutes costing.Quantity) Result {
	e := entry(r, Entry{Kind: Checked, Worker: c.Worker, Crew: c.Crew, Job: c.Job, Detail: c.Check, Quantity: v, Minutes: minutes})
	c.let()
	return Result{Outcome: DidIt, Code: "checked", Entry: e}
}

// problem takes the problem card, which waits for a picture, or a picture. What
// is told leaves the context empty, so that who told it isn't clocked by the
// next card.
func (c *Context) problem(r *Read) Result {
	if c.Job == "" {
		return refuse("job_first", "")
	}
	if r.Token.Key == "" {
		c.let()
		c.Problem, c.Lot = true, ""
		if cmp.Or(c.Worker, c.Crew) == "" {
			return wait("problem", Problem, Worker)
		}
		return wait("problem", Problem)
	}
	e := entry(r, Entry{Kind: Reported, Worker: c.Worker, Crew: c.Crew, Job: c.Job, Detail: r.Token.Key})
	c.forget()
	return Result{Outcome: DidIt, Code: "problem_noted", Entry: e}
}
