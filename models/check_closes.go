package models

import (
	"cmp"
	"slices"

	"hulltally/costing"
)

// checkCloses: what people did to months makes one story. Each month is closed
// after the one before; only the latest is opened again; nothing that was done
// is changed. What was frozen is as the close sealed it.
func (l *loading) checkCloses() error {
	s := sheetFor(l, closesFile)
	if err := l.checkFrozen(s); err != nil || len(s.rows)+len(sheetFor(l, tieSignaturesFile).rows) == 0 {
		return err
	}
	stored, err := l.tx.closeRows(l.ctx)
	if err != nil {
		return err
	}
	known := map[string]*CloseRow{}
	var story costing.Closes
	for i := range stored {
		known[closesFile.rowKey(&stored[i])] = &stored[i]
		c, err := stored[i].engine()
		if err != nil {
			return err
		}
		story = append(story, c)
	}
	rows := slices.Clone(s.rows)
	slices.SortStableFunc(rows, func(a, b *line[CloseRow]) int { return cmp.Compare(a.row.At, b.row.At) })
	for _, row := range rows {
		if row.bad {
			continue
		}
		if was := known[row.key]; was != nil {
			if !slices.Equal(closesFile.cellsOf(was), row.cells) {
				s.refuse(l, row, "", "was done otherwise: what was done to a month isn't changed, put the line back")
			}
			continue
		}
		c, err := row.row.engine()
		if err != nil {
			return err
		}
		if column, reason := story.Refuses(c); reason != "" {
			s.refuse(l, row, column, "%s", reason)
			continue
		}
		story = append(story, c)
	}
	return l.checkSignatures(story)
}

// checkSignatures: what a close was signed with isn't added to afterwards.
func (l *loading) checkSignatures(story costing.Closes) error {
	s := sheetFor(l, tieSignaturesFile)
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		p, err := costing.ParsePeriod(row.row.Period)
		if err != nil {
			return err
		}
		if c, closed := story.Of(p, row.row.At-1); closed {
			s.refuse(l, row, "period", "was closed at %s: sign the difference of an open month", c.At)
		}
	}
	return nil
}

// checkFrozen holds the closed files to the digests of their closes.
func (l *loading) checkFrozen(s *sheetOf[CloseRow]) error {
	closes := map[costing.Instant]*CloseRow{}
	stored, err := l.tx.closeRows(l.ctx)
	if err != nil {
		return err
	}
	for i := range stored {
		closes[stored[i].At] = &stored[i]
	}
	l.fresh = map[costing.Instant]bool{}
	for _, row := range s.rows {
		if closes[row.row.At] == nil && row.row.Kind == string(costing.Closed) && !row.bad {
			l.fresh[row.row.At] = true
			closes[row.row.At] = &row.row
		}
	}
	for at, f := range l.frozen {
		c := closes[at]
		if c == nil || c.Kind != string(costing.Closed) {
			l.problems.add(frozenFile.name(), 0, "closed", "nothing was closed at %s: the file goes with the closes.csv it was written with", at)
			continue
		}
		if f.sort(); f.digest() != c.Digest {
			l.problems.add(frozenFile.name(), 0, "", "what was frozen at %s is not what closes.csv sealed: take the three closed files from one dump", at)
		}
	}
	for at := range l.fresh {
		if l.frozen[at] == nil && !s.broken {
			l.problems.add(closesFile.name(), 0, "digest", "what was frozen at %s is missing: load %s, %s and %s with it", at,
				frozenFile.name(), frozenPayFile.name(), signedFile.name())
		}
	}
	return nil
}

// parseFrozen reads the closed files into what each close froze.
func (l *loading) parseFrozen(texts map[string][]byte) {
	l.frozen = map[costing.Instant]*frozen{}
	of := func(at costing.Instant) *frozen {
		f := l.frozen[at]
		if f == nil {
			f = &frozen{}
			l.frozen[at] = f
		}
		return f
	}
	readClosed(l, frozenFile, texts, func(r FrozenRow) {
		if day, err := r.Date.Date(); err == nil {
			r.Period = int64(day.Period())
		}
		f := of(r.Closed)
		f.lines = append(f.lines, r)
	})
	readClosed(l, frozenPayFile, texts, func(r FrozenPayRow) {
		f := of(r.Closed)
		f.pay = append(f.pay, r)
	})
	readClosed(l, signedFile, texts, func(r SignedRow) {
		f := of(r.Closed)
		f.signed = append(f.signed, r)
	})
}

func readClosed[R any](l *loading, f *file[R], texts map[string][]byte, take func(R)) {
	text, given := texts[f.name()]
	if !given {
		return
	}
	l.present[f.name()] = true
	rows, _ := f.read(text, l.problems)
	for _, row := range rows {
		if !row.bad {
			take(row.row)
		}
	}
}

// storeFrozen keeps what the closes of this load froze.
func (l *loading) storeFrozen(report *LoadReport) error {
	counts := [3]Counts{}
	for at, f := range l.frozen {
		if !l.fresh[at] {
			counts[0].Unchanged += len(f.lines)
			counts[1].Unchanged += len(f.pay)
			counts[2].Unchanged += len(f.signed)
			continue
		}
		for i := range f.lines { // the month is in no file
			day, err := f.lines[i].Date.Date()
			if err != nil {
				return err
			}
			f.lines[i].Period = int64(day.Period())
		}
		if err := insertRows(l.ctx, l.tx, frozenFile, f.lines, ""); err != nil {
			return err
		}
		if err := insertRows(l.ctx, l.tx, frozenPayFile, f.pay, ""); err != nil {
			return err
		}
		if err := insertRows(l.ctx, l.tx, signedFile, f.signed, ""); err != nil {
			return err
		}
		counts[0].Added += len(f.lines)
		counts[1].Added += len(f.pay)
		counts[2].Added += len(f.signed)
	}
	for i, f := range closedFiles {
		if l.present[f.name()] {
			report.Files[f.name()] = counts[i]
		}
	}
	return nil
}
