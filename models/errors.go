package models

import (
	"errors"
	"fmt"
)

// Kind says what sort of trouble an error is; its status on the wire is chosen
// elsewhere, in one place. Errors of no kind are ours: their text stays in the log.
type Kind string

// The kinds of error.
const (
	Invalid  Kind = "invalid"
	NotFound Kind = "not found"
	Conflict Kind = "conflict"
	Denied   Kind = "denied"
)

// Trouble is an error to tell a person: what is wrong, where, and what to do.
type Trouble struct {
	Kind Kind
	Text string
}

func (e *Trouble) Error() string { return e.Text }

// Errorf makes an error to tell a person.
func Errorf(kind Kind, format string, args ...any) error {
	return &Trouble{kind, fmt.Sprintf(format, args...)}
}

// KindOf is the kind of an error, or "" for one of ours.
func KindOf(err error) Kind {
	var t *Trouble
	if errors.As(err, &t) {
		return t.Kind
	}
	var p *Problems
	if errors.As(err, &p) {
		return Invalid
	}
	return ""
}
