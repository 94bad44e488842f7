package models

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing that keeps yard files from being loaded.
type Problem struct {
	File   string
	Line   int    // 0: the file as a whole
	Column string // empty: the row as a whole
	Reason string // what is wrong and what to do
}

// String is the problem on one line.
func (p Problem) String() string {
	s := p.File
	if p.Line > 0 {
		s = fmt.Sprintf("%s:%d", s, p.Line)
	}
	if p.Column != "" {
		s += ": " + p.Column
	}
	return s + ": " + p.Reason
}

// Problems is the error of refused yard files: every problem, by file and line.
type Problems struct {
	List []Problem
}

// Error lists every problem on a line of its own.
func (ps *Problems) Error() string {
	lines := make([]string, len(ps.List))
	for i, p := range ps.List {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

func (ps *Problems) add(file string, line int, column, format string, args ...any) {
	ps.List = append(ps.List, Problem{file, line, column, fmt.Sprintf(format, args...)})
}

// errOrNil is the sorted problems, or nil where there are none.
func (ps *Problems) errOrNil() error {
	if len(ps.List) == 0 {
		return nil
	}
	slices.SortStableFunc(ps.List, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return ps
}
