package models

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
)

// Enter takes rows in that a person typed or a program made, given as the texts
// of yard files by name ("counts.csv"). It is Load without a folder: the same
// checks, history, codes and computing, all of it or nothing; the error is a
// *Problems where rows are refused. FilesOf makes the texts.
func (s *Store) Enter(ctx context.Context, files map[string][]byte, opts LoadOptions) (*LoadReport, error) {
	if opts.Progress == nil {
		opts.Progress = func(string, int, int) {}
	}
	if problems := unknownFiles(files); problems != nil {
		return nil, problems
	}
	return s.load(ctx, files, &Problems{}, opts)
}

// errTaken ends a trial: the transaction is rolled back.
var errTaken = errors.New("only a trial")

// Try enters rows, lets see look at the books as they would be, and takes
// everything back: a preview that is no second implementation. Nothing that see
// wrote stays either.
func (s *Store) Try(ctx context.Context, files map[string][]byte, opts LoadOptions, see func(tx *Tx, report *LoadReport) error) error {
	if opts.Progress == nil {
		opts.Progress = func(string, int, int) {}
	}
	if problems := unknownFiles(files); problems != nil {
		return problems
	}
	err := s.InTx(ctx, func(tx *Tx) error {
		report, err := tx.load(ctx, files, &Problems{}, opts)
		if err != nil {
			return err
		}
		if err := see(tx, report); err != nil {
			return err
		}
		return errTaken
	})
	if errors.Is(err, errTaken) {
		return nil
	}
	return err
}

func unknownFiles(files map[string][]byte) error {
	problems := &Problems{}
	for name := range files {
		if !knownFile(name) {
			problems.add(name, 0, "", "is not the name of a yard file")
		}
	}
	return problems.errOrNil()
}

func (s *Store) load(ctx context.Context, texts map[string][]byte, problems *Problems, opts LoadOptions) (report *LoadReport, err error) {
	err = s.InTx(ctx, func(tx *Tx) (err error) {
		report, err = tx.load(ctx, texts, problems, opts)
		return err
	})
	if err != nil {
		return nil, err
	}
	return report, nil
}

// Enter is the store's Enter within a transaction that does more.
func (tx *Tx) Enter(ctx context.Context, files map[string][]byte, opts LoadOptions) (*LoadReport, error) {
	if opts.Progress == nil {
		opts.Progress = func(string, int, int) {}
	}
	if problems := unknownFiles(files); problems != nil {
		return nil, problems
	}
	return tx.load(ctx, files, &Problems{}, opts)
}

func (tx *Tx) load(ctx context.Context, texts map[string][]byte, problems *Problems, opts LoadOptions) (*LoadReport, error) {
	l := &loading{
		ctx: ctx, tx: tx, opts: opts, sheets: map[string]sheet{}, present: map[string]bool{},
		problems: &Problems{slices.Clone(problems.List)}, changes: &ChangeSet{First: tx.Version == 0, edits: map[string]any{}},
	}
	l.parse(texts)
	if err := l.check(); err != nil {
		return nil, err
	}
	if err := l.problems.errOrNil(); err != nil {
		return nil, err
	}
	return l.store()
}

// FilesOf writes rows, such as CountRow or LotRow, as the yard files they
// belong in, by name.
func FilesOf(rows ...any) (map[string][]byte, error) {
	files := map[string][]byte{}
rows:
	for _, row := range rows {
		for _, f := range slices.Concat(yardFiles, closedFiles) {
			text, mine, err := f.append(files[f.name()], row)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", f.name(), err)
			}
			if mine {
				files[f.name()] = text
				continue rows
			}
		}
		return nil, fmt.Errorf("%T is no row of a yard file", row)
	}
	return files, nil
}

// append adds a row to a file's text, if it is a row of the file.
func (f *file[R]) append(text []byte, row any) (longer []byte, mine bool, err error) {
	r, mine := row.(R)
	if !mine {
		return text, false, nil
	}
	b := bytes.NewBuffer(text)
	w := &writer[R]{f, csv.NewWriter(b)}
	if len(text) == 0 {
		if err := w.csv.Write(f.names()); err != nil {
			return nil, true, err
		}
	}
	if err := w.write(&r); err != nil {
		return nil, true, err
	}
	if err := w.close(); err != nil {
		return nil, true, err
	}
	return b.Bytes(), true, nil
}
