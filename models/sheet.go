package models

import (
	"reflect"
	"slices"
	"strings"

	"hulltally/costing"
)

// sheet is one yard file in the course of a load: its rows as given, and the
// rows stored before.
type sheet interface {
	fileName() string
	read(text []byte, problems *Problems)
	checkRefs(l *loading) error
	store(l *loading) (Counts, error)
	hasFirst(l *loading, key string) (bool, error)
	word() string
	changed(each func(key string))
}

type sheetOf[R any] struct {
	*file[R]
	rows    []*line[R]
	broken  bool                // rows were lost in reading
	given   map[string]*line[R] // rows by key, the bad ones left out
	firsts  map[string]bool     // first cells of all keys, given or stored
	stored  map[string]*R       // by key
	close   map[string]*R       // some of the stored rows, by key
	asked   int                 // how often a key was looked for by itself
	fetched map[string]bool     // the first keys whose rows are in close
	edits   []Edit[R]
}

func (f *file[R]) sheet() sheet { return &sheetOf[R]{file: f} }

// sheetFor is a file's sheet in its own type.
func sheetFor[R any](l *loading, f *file[R]) *sheetOf[R] {
	return l.sheets[f.stem].(*sheetOf[R])
}

func (s *sheetOf[R]) fileName() string { return s.name() }

func (s *sheetOf[R]) read(text []byte, problems *Problems) {
	var whole bool
	s.rows, whole = s.file.read(text, problems)
	s.broken = !whole
	s.given = make(map[string]*line[R], len(s.rows))
	for _, l := range s.rows {
		if !l.bad {
			s.given[l.key] = l
		}
	}
}

// word is what one row of the file stands for, as problems say it.
func (s *sheetOf[R]) word() string {
	switch one := strings.ReplaceAll(strings.TrimSuffix(s.stem, "s"), "_", " "); {
	case s.stem == "bought":
		return "purchase document"
	case strings.HasSuffix(one, "ie"):
		return strings.TrimSuffix(one, "ie") + "y"
	default:
		return one
	}
}

// changed hands over the keys of the rows that the load added or changed.
func (s *sheetOf[R]) changed(each func(key string)) {
	for _, e := range s.edits {
		each(s.rowKey(e.After))
	}
}

// storedRows reads what was stored before, once.
func (s *sheetOf[R]) storedRows(l *loading) (map[string]*R, error) {
	if s.stored != nil {
		return s.stored, nil
	}
	rows, err := s.all(l.ctx, l.tx)
	if err != nil {
		return nil, err
	}
	s.stored = make(map[string]*R, len(rows))
	for i := range rows {
		s.stored[s.rowKey(&rows[i])] = &rows[i]
	}
	return s.stored, nil
}

// fewRows is up to how many rows a load asks for those it needs; for more, it
// reads the whole table.
const fewRows = 200

// near gives the stored rows with some first keys, and maybe more. A person
// enters a line or two, which must not cost the reading of all there are.
func (s *sheetOf[R]) near(l *loading, firsts only) (map[string]*R, error) {
	if s.stored != nil {
		return s.stored, nil
	}
	var missing only
	for _, key := range firsts {
		if !s.fetched[key] {
			missing = append(missing, key)
		}
	}
	if len(missing) == 0 && firsts != nil {
		return s.close, nil
	}
	if len(s.fetched)+len(missing) > fewRows || firsts == nil {
		return s.storedRows(l)
	}
	rows, err := s.some(l.ctx, l.tx, missing)
	if err != nil {
		return nil, err
	}
	if s.close == nil {
		s.close, s.fetched = map[string]*R{}, map[string]bool{}
	}
	for _, key := range missing {
		s.fetched[key] = true
	}
	for i := range rows {
		s.close[s.rowKey(&rows[i])] = &rows[i]
	}
	return s.close, nil
}

// nearGiven is near for the rows that were given.
func (s *sheetOf[R]) nearGiven(l *loading) (map[string]*R, error) {
	firsts := make(only, len(s.rows))
	for i, row := range s.rows {
		firsts[i], _, _ = strings.Cut(row.key, keySeparator)
	}
	slices.Sort(firsts)
	return s.near(l, slices.Compact(firsts))
}

// rowKey is the key of a row without its other cells.
func (f *file[R]) rowKey(row *R) string {
	v := reflect.ValueOf(row).Elem()
	var cells []string
	for _, c := range f.columns {
		if c.key {
			cells = append(cells, c.write(v))
		}
	}
	return joined(cells)
}

// find is a row by key, as given or else as stored; nil where there is none.
func (s *sheetOf[R]) find(l *loading, key string) (*R, error) {
	if given, ok := s.given[key]; ok {
		return &given.row, nil
	}
	first, _, _ := strings.Cut(key, keySeparator)
	stored, err := s.near(l, only{first})
	return stored[key], err
}

func (s *sheetOf[R]) hasFirst(l *loading, key string) (bool, error) {
	if s.firsts == nil && s.asked < fewRows {
		s.asked++
		if s.broken {
			return true, nil
		}
		for _, row := range s.rows { // bad rows too: who refers to them isn't to blame
			if k, _, _ := strings.Cut(row.key, keySeparator); k == key {
				return true, nil
			}
		}
		stored, err := s.where(l.ctx, l.tx, `"`+s.firstKey().db+`" = ?`, key)
		return len(stored) > 0, err
	}
	if s.firsts == nil {
		first := s.firstKey()
		var stored []string
		if err := l.tx.DB.WithContext(l.ctx).Table(s.stem).Distinct().Pluck(first.db, &stored).Error; err != nil {
			return false, err
		}
		s.firsts = make(map[string]bool, len(stored)+len(s.rows))
		for _, k := range stored {
			s.firsts[k] = true
		}
		for _, row := range s.rows { // bad rows too: who refers to them isn't to blame
			k, _, _ := strings.Cut(row.key, keySeparator)
			s.firsts[k] = true
		}
	}
	return s.firsts[key] || s.broken, nil
}

// checkRefs refuses cells that name what neither the files nor the database know.
func (s *sheetOf[R]) checkRefs(l *loading) error {
	for i, c := range s.columns {
		if c.ref == "" {
			continue
		}
		targets := strings.Split(c.ref, "|")
		for _, row := range s.rows {
			if row.cells[i] == "" {
				continue
			}
			known, err := l.knows(targets, row.cells[i])
			if err != nil {
				return err
			}
			if target := l.sheets[targets[0]]; !known {
				s.refuse(l, row, c.name, "there is no %s %s: add it to %s or correct the cell",
					target.word(), row.cells[i], target.fileName())
			}
		}
	}
	return nil
}

// knows reports whether one of the files has a row of that first key.
func (l *loading) knows(files []string, key string) (bool, error) {
	for _, f := range files {
		if known, err := l.sheets[f].hasFirst(l, key); err != nil || known {
			return known, err
		}
	}
	return false, nil
}

func (s *sheetOf[R]) refuse(l *loading, row *line[R], column, format string, args ...any) {
	row.bad = true
	l.problems.add(s.name(), row.at, column, format, args...)
}

// store writes the rows that are new or differ, and their history.
func (s *sheetOf[R]) store(l *loading) (Counts, error) {
	var n Counts
	if len(s.rows) == 0 {
		return n, nil
	}
	stored, err := s.nearGiven(l)
	if err != nil {
		return n, err
	}
	var added, changed []R
	for _, row := range s.rows {
		before := stored[row.key]
		if before != nil && slices.Equal(s.cellsOf(before), row.cells) {
			n.Unchanged++
			continue
		}
		if before == nil {
			added = append(added, row.row)
		} else {
			changed = append(changed, row.row)
		}
		s.edits = append(s.edits, Edit[R]{shown(row.key), before, &row.row})
	}
	n.Added, n.Changed = len(added), len(changed)
	// Changed rows go first: a code must be revoked before its successor comes.
	if err := insertRows(l.ctx, l.tx, s.file, changed, s.onConflict()); err != nil {
		return n, err
	}
	if err := insertRows(l.ctx, l.tx, s.file, added, ""); err != nil {
		return n, err
	}
	if len(s.edits) > 0 {
		l.changes.edits[s.name()] = s.edits
	}
	return n, writeHistory(l, s.file, s.edits)
}

// Counts says what became of a file's rows.
type Counts struct {
	Added, Changed, Unchanged int
}

// now is the load's instant; it marks history and new codes.
func (l *loading) now() costing.Instant { return l.opts.Now }
