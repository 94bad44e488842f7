package models

// issueCodes gives every new worker, crew, job, lot and indirect code a card,
// and the yard the wall cards that it lacks: all of them when it begins, and
// those that this program is the first to know.
func (l *loading) issueCodes() ([]CodeRow, error) {
	lacking, err := l.lacksWallCards()
	if err != nil {
		return nil, err
	}
	if !lacking && len(EditsOf[WorkerRow](l.changes))+len(EditsOf[CrewRow](l.changes))+
		len(EditsOf[JobRow](l.changes))+len(EditsOf[LotRow](l.changes))+len(EditsOf[IndirectRow](l.changes)) == 0 {
		return nil, nil
	}
	is, err := l.tx.newIssuer(l.ctx, l.opts.Random, l.now())
	if err != nil {
		return nil, err
	}
	for _, card := range wallCards {
		if err := is.know(card.kind, only{card.key}); err != nil {
			return nil, err
		}
		if err := is.issue(card.kind, card.key); err != nil {
			return nil, err
		}
	}
	for _, step := range []func() error{
		func() error { return issueNew(is, "worker", sheetFor(l, workersFile)) },
		func() error { return issueNew(is, "crew", sheetFor(l, crewsFile)) },
		func() error { return issueNew(is, "job", sheetFor(l, jobsFile)) },
		func() error { return issueNew(is, "lot", sheetFor(l, lotsFile)) },
		func() error { return issueNew(is, "indirect", sheetFor(l, indirectsFile)) },
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return is.rows, insertRows(l.ctx, l.tx, codesFile, is.rows, "")
}

func (l *loading) lacksWallCards() (bool, error) {
	var kept []CodeRow
	if err := l.tx.DB.WithContext(l.ctx).Select("kind, key").Find(&kept, "payload LIKE 'K%'").Error; err != nil {
		return false, err
	}
	have := map[[2]string]bool{}
	for _, c := range kept {
		have[[2]string{c.Kind, c.Key}] = true
	}
	for _, card := range wallCards {
		if !have[[2]string{card.kind, card.key}] {
			return true, nil
		}
	}
	return false, nil
}

func issueNew[R any](is *issuer, kind string, s *sheetOf[R]) error {
	var fresh only
	for _, e := range s.edits {
		if e.Before == nil {
			fresh = append(fresh, e.Key)
		}
	}
	if err := is.know(kind, fresh); err != nil {
		return err
	}
	for _, e := range s.edits {
		if e.Before != nil {
			continue
		}
		if err := is.issue(kind, e.Key); err != nil {
			return err
		}
	}
	return nil
}
