package models

import (
	"errors"
	"slices"

	"hulltally/costing"
)

// check looks at what only shows between rows, files and the database.
func (l *loading) check() error {
	for _, step := range []func() error{
		l.checkPolicy, l.checkRefs, l.checkHulls, l.checkJobs, l.checkEstimate, l.checkLots,
		l.checkOffcuts, l.checkLanded, l.checkForeign, l.checkPayments, l.checkCorrections, l.checkRevisions, l.checkTools, l.checkOrder, l.checkBaselines, l.checkCodes,
		l.checkCloses,
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (l *loading) checkRefs() error {
	for _, f := range yardFiles {
		if err := l.sheets[stemOf(f)].checkRefs(l); err != nil {
			return err
		}
	}
	return nil
}

// checkPolicy finds the base currency, and holds currency and zone fast once
// something was recorded in them.
func (l *loading) checkPolicy() error {
	s := sheetFor(l, policyFile)
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	for _, key := range []string{policyCurrency, policyZone} {
		rowKey := key + keySeparator
		given, before := s.given[rowKey], stored[rowKey]
		switch {
		case given == nil && before == nil:
			l.missingPolicy(s, key)
		case given != nil && before != nil && given.row.Value != before.Value:
			inUse, err := l.inUse()
			if err != nil {
				return err
			}
			if inUse {
				s.refuse(l, given, "value", "the yard's %s is %s and cannot change, since reads or documents are recorded in it: put %s back",
					key, before.Value, before.Value)
			}
		}
	}
	row, err := s.find(l, policyCurrency+keySeparator)
	if err != nil || row == nil {
		return err
	}
	l.base, err = costing.ParseCurrency(row.Value)
	return err
}

func (l *loading) missingPolicy(s *sheetOf[PolicyRow], key string) {
	switch {
	case !l.present[s.name()]:
		if key == policyCurrency { // said once
			l.problems.add(s.name(), 0, "", "missing file: a new database needs it, with currency and time_zone")
		}
	case s.broken || slices.ContainsFunc(s.rows, func(r *line[PolicyRow]) bool { return r.bad && r.row.Key == key }):
		// what is wrong with it has been said
	default:
		l.problems.add(s.name(), 0, "key", "there is no %s: a new database needs a row for it", key)
	}
}

var errFound = errors.New("found")

// inUse reports whether reads or documents are recorded.
func (l *loading) inUse() (bool, error) {
	for _, f := range []yardFile{lotsFile, invoicesFile, countsFile, landedFile, boughtFile, billingFile, paymentsFile, correctionsFile} {
		var n int64
		if err := l.tx.DB.WithContext(l.ctx).Table(stemOf(f)).Count(&n).Error; err != nil || n > 0 {
			return n > 0, err
		}
	}
	err := l.tx.eachRead(func(ReadRow) error { return errFound })
	if errors.Is(err, errFound) {
		return true, nil
	}
	return false, err
}

// checkCorrections refuses targets that are nothing, or two things.
func (l *loading) checkCorrections() error {
	s := sheetFor(l, correctionsFile)
	for _, row := range s.rows {
		target := row.row.Target
		if row.bad || target == "" || target == offTarget {
			continue
		}
		job, err := l.sheets[jobsFile.stem].hasFirst(l, target)
		if err != nil {
			return err
		}
		indirect, err := l.sheets[indirectsFile.stem].hasFirst(l, target)
		if err != nil {
			return err
		}
		switch {
		case !job && !indirect:
			s.refuse(l, row, "target", "there is no job or indirect code %s: add it, or write off to clock off", target)
		case job && indirect && !l.broken():
			s.refuse(l, row, "target", "%s is both a job and an indirect code: give one of them another key", target)
		}
	}
	return nil
}

// broken reports whether a target file lost rows, so that nothing can be said of its keys.
func (l *loading) broken() bool {
	return sheetFor(l, jobsFile).broken || sheetFor(l, indirectsFile).broken
}
