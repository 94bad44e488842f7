package models

import (
	"slices"
	"strconv"

	"hulltally/costing"
)

// checkRevisions: what is kept as a revision stays as it was, revisions are
// numbered without a gap, and their lines fit together.
func (l *loading) checkRevisions() error {
	heads, lines := sheetFor(l, revisionsFile), sheetFor(l, revisionLinesFile)
	if len(heads.rows)+len(lines.rows) == 0 {
		return nil
	}
	stored, err := heads.storedRows(l)
	if err != nil {
		return err
	}
	for _, row := range heads.rows {
		r := &row.row
		switch before := stored[row.key]; {
		case row.bad:
		case before != nil && !slices.Equal(heads.cellsOf(before), row.cells):
			heads.refuse(l, row, "revision", "revision %d of %s is kept as it was: enter the change as the next revision", r.Revision, r.Hull)
		case before == nil && r.Revision > 1:
			previous := joined([]string{r.Hull, strconv.Itoa(r.Revision - 1)})
			if heads.given[previous] == nil && stored[previous] == nil {
				heads.refuse(l, row, "revision", "there is no revision %d of %s before it: number revisions without a gap", r.Revision-1, r.Hull)
			}
		}
	}
	return l.checkRevisionLines(heads, lines)
}

func (l *loading) checkRevisionLines(heads *sheetOf[RevisionRow], lines *sheetOf[RevisionLineRow]) error {
	closed, err := heads.storedRows(l)
	if err != nil {
		return err
	}
	stored, err := lines.storedRows(l)
	if err != nil {
		return err
	}
	places := map[string]*RevisionLineRow{}
	for _, row := range lines.rows {
		r := &row.row
		if row.bad {
			continue
		}
		head := joined([]string{r.Hull, strconv.Itoa(r.Revision)})
		before := stored[row.key]
		same := before != nil && slices.Equal(lines.cellsOf(before), row.cells)
		switch {
		case closed[head] != nil && !same:
			lines.refuse(l, row, "line", "revision %d of %s is kept as it was: enter the change as the next revision", r.Revision, r.Hull)
		case closed[head] == nil && heads.given[head] == nil && !heads.broken:
			lines.refuse(l, row, "revision", "there is no revision %d of %s: add it to %s or correct the cell", r.Revision, r.Hull, heads.name())
		case r.Element == string(costing.Material):
			if err := l.checkItem(r.Key, func(format string, args ...any) { lines.refuse(l, row, "key", format, args...) }); err != nil {
				return err
			}
		}
		job := head + keySeparator + r.Job
		if first := places[job]; first == nil {
			places[job] = r
		} else if first.Stage != r.Stage || first.Part != r.Part || first.Purpose != r.Purpose || first.Shares != r.Shares {
			lines.refuse(l, row, "job", "%s has another stage, part, purpose or shares on line %d: a job has one of each", r.Job, first.Line)
		}
	}
	return nil
}

// checkItem refuses an item that nobody knows.
func (l *loading) checkItem(item string, refuse func(format string, args ...any)) error {
	known, err := l.sheets[itemsFile.stem].hasFirst(l, item)
	if err == nil && !known {
		refuse("there is no item %s: add it to %s or correct the cell", item, itemsFile.name())
	}
	return err
}

// checkTools: a key is a tool's or a hull's.
func (l *loading) checkTools() error {
	tools, hulls := sheetFor(l, toolingFile), sheetFor(l, hullsFile)
	for _, row := range tools.rows {
		if row.bad {
			continue
		}
		twice, err := hulls.hasFirst(l, row.row.Tool)
		if err != nil {
			return err
		}
		if twice && !hulls.broken {
			tools.refuse(l, row, "tool", "%s is a hull too: give one of them another key", row.row.Tool)
		}
	}
	stored, err := tools.storedRows(l)
	if err != nil {
		return err
	}
	for _, row := range hulls.rows {
		if stored[row.row.Hull] != nil && !row.bad {
			hulls.refuse(l, row, "hull", "%s is a tool too: give one of them another key", row.row.Hull)
		}
	}
	return nil
}

// checkOrder refuses stages that would wait for each other.
func (l *loading) checkOrder() error {
	s := sheetFor(l, predecessorsFile)
	if len(s.rows) == 0 {
		return nil
	}
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	after := map[string][]string{}
	for _, r := range stored {
		after[r.Stage] = r.list()
	}
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		for _, before := range row.row.list() {
			known, err := l.sheets[stagesFile.stem].hasFirst(l, before)
			if err != nil {
				return err
			}
			if !known {
				s.refuse(l, row, "after", "there is no stage %s: add it to %s or correct the cell", before, stagesFile.name())
			}
		}
		after[row.row.Stage] = row.row.list()
	}
	for _, row := range s.rows {
		if !row.bad && waitsFor(after, row.row.Stage) {
			s.refuse(l, row, "after", "%s would come before itself: take one of the stages between away", row.row.Stage)
		}
	}
	return nil
}

// waitsFor reports whether a stage comes, by way of others, after itself.
func waitsFor(after map[string][]string, stage string) bool {
	seen, queue := map[string]bool{}, slices.Clone(after[stage])
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if at == stage {
			return true
		}
		if !seen[at] {
			seen[at] = true
			queue = append(queue, after[at]...)
		}
	}
	return false
}
