package models

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"hulltally/costing"
)

// LoadOptions says when and by whom yard files are loaded.
type LoadOptions struct {
	Now costing.Instant
	Who string
	// Progress, where set, hears of each step: how much of it is done, of how much.
	Progress func(step string, done, total int)
	// Random draws the serials of badges; nil is the machine's own source.
	Random io.Reader

	// What the logbook says of it, where a person enters rows and no folder is
	// loaded: what was done ("counted", "corrected"), to what, why, and from where.
	Did, Subject, Why, Source string
}

// LoadReport says what a load did.
type LoadReport struct {
	Files   map[string]Counts // by file name, of the files that were there
	Issued  int               // codes issued
	Version int64             // of the yard after the load
}

// loading is the state of one load inside its transaction.
type loading struct {
	ctx      context.Context
	tx       *Tx
	opts     LoadOptions
	sheets   map[string]sheet // by stem
	present  map[string]bool  // by file name
	reads    []*line[ReadRow]
	frozen   map[costing.Instant]*frozen // by close
	fresh    map[costing.Instant]bool    // closes of this load
	problems *Problems
	changes  *ChangeSet
	base     costing.Currency

	historyFrom int64 // the newest row of the history before this load
}

// Load takes the yard files of a folder into the database, in one transaction.
// Rows that are stored already are left alone. If anything is wrong nothing is
// loaded, and the error is a *Problems that names every bad row.
func (s *Store) Load(ctx context.Context, dir string, opts LoadOptions) (*LoadReport, error) {
	if opts.Progress == nil {
		opts.Progress = func(string, int, int) {}
	}
	texts, problems := readFolder(dir)
	if texts == nil {
		return nil, problems
	}
	if opts.Subject == "" {
		opts.Subject = filepath.Base(dir)
	}
	return s.load(ctx, texts, problems, opts)
}

// readFolder reads the yard files of a folder by name. A CSV file that is no
// yard file is refused: its name is likely mistyped. The texts are nil where
// the folder cannot be read at all.
func readFolder(dir string) (map[string][]byte, *Problems) {
	problems := &Problems{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			problems.add(dir, 0, "", "there is no such folder: name the folder of the yard files")
		} else {
			problems.add(dir, 0, "", "the folder cannot be read: %v", err)
		}
		return nil, problems
	}
	texts := map[string][]byte{}
	for _, e := range entries {
		name := e.Name()
		switch {
		case e.IsDir() || !strings.EqualFold(filepath.Ext(name), ".csv"):
		case !knownFile(name):
			problems.add(name, 0, "", "is not the name of a yard file: correct the name or move the file away")
		default:
			if texts[name], err = os.ReadFile(filepath.Join(dir, name)); err != nil {
				problems.add(name, 0, "", "cannot be read: %v", err)
			}
		}
	}
	return texts, problems
}

// knownFile reports whether a file name is that of a yard file or of reads.
func knownFile(name string) bool {
	named := func(f yardFile) bool { return f.name() == name }
	return name == readsFile.name() || slices.ContainsFunc(yardFiles, named) || slices.ContainsFunc(closedFiles, named)
}

func (l *loading) parse(texts map[string][]byte) {
	done := 0
	for _, f := range yardFiles {
		sh := f.sheet()
		l.sheets[stemOf(f)] = sh
		if text, ok := texts[f.name()]; ok {
			l.present[f.name()] = true
			sh.read(text, l.problems)
			done++
			l.opts.Progress("read", done, len(texts))
		}
	}
	l.parseFrozen(texts)
	if text, ok := texts[readsFile.name()]; ok {
		l.present[readsFile.name()] = true
		l.reads, _ = readsFile.read(text, l.problems)
		l.opts.Progress("read", len(texts), len(texts))
	}
}

func (l *loading) store() (*LoadReport, error) {
	report := &LoadReport{Files: map[string]Counts{}}
	var err error
	if l.historyFrom, err = lastHistory(l.tx.DB); err != nil {
		return nil, err
	}
	for i, f := range yardFiles {
		sh := l.sheets[stemOf(f)]
		n, err := sh.store(l)
		if err != nil {
			return nil, fmt.Errorf("storing %s: %w", f.name(), err)
		}
		if l.present[f.name()] {
			report.Files[f.name()] = n
		}
		l.opts.Progress("store", i+1, len(yardFiles))
	}
	if err := l.storeFrozen(report); err != nil {
		return nil, fmt.Errorf("storing what was frozen: %w", err)
	}
	issued, err := l.issueCodes()
	if err != nil {
		return nil, err
	}
	report.Issued = len(issued)
	if len(l.changes.edits) > 0 || report.Issued > 0 {
		if err := l.tx.Bump(); err != nil {
			return nil, err
		}
		if err := l.changesMade(issued).note(l.ctx, l.tx); err != nil {
			return nil, err
		}
		if err := l.tx.applyChanges(l.ctx, l.changes); err != nil {
			return nil, err
		}
		if err := l.keepBaselines(); err != nil {
			return nil, err
		}
	}
	if err := l.storeReads(report); err != nil {
		return nil, err
	}
	report.Version = l.tx.Version
	return report, l.note(report)
}

func (l *loading) storeReads(report *LoadReport) error {
	if !l.present[readsFile.name()] {
		return nil
	}
	reads := make([]ReadRow, len(l.reads))
	for i, r := range l.reads {
		reads[i] = r.row
	}
	added, err := l.tx.recordReads(l.ctx, reads, l.opts.Now, func(done, total int) { l.opts.Progress("reads", done, total) })
	if err != nil {
		return fmt.Errorf("recording %s: %w", readsFile.name(), err)
	}
	report.Files[readsFile.name()] = Counts{Added: added, Unchanged: len(reads) - added}
	return nil
}

// ParseReads reads the text of a reads.csv; the error is a *Problems.
func ParseReads(text []byte) ([]ReadRow, error) {
	problems := &Problems{}
	lines, _ := readsFile.read(text, problems)
	if err := problems.errOrNil(); err != nil {
		return nil, err
	}
	reads := make([]ReadRow, len(lines))
	for i, l := range lines {
		reads[i] = l.row
	}
	return reads, nil
}
