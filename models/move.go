package models

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"gorm.io/gorm"
)

// MoveReport is what a move copied.
type MoveReport struct {
	Rows    int64 // all
	Already int64 // of them those that an earlier, interrupted run had copied
	Tables  int
}

// moveAtOnce is how many rows a move writes in one transaction.
const moveAtOnce = 20_000

// refuseUnfinished keeps a half-moved database from being worked on.
func (s *Store) refuseUnfinished(ctx context.Context) error {
	if s.read.WithContext(ctx).Migrator().HasTable(movesTable) {
		return Errorf(Conflict, "the database holds an unfinished move: run the same hulltally move again, or name another database")
	}
	return nil
}

// MoveTo copies everything to another, empty database of either kind and
// verifies it there, by computing everything derived anew and by the logbook's
// seals. A run that was cut off goes on where it stopped when it is run again;
// until it is done the new database is refused. Nothing may write meanwhile:
// whatever did is told, and the next run starts over.
func (s *Store) MoveTo(ctx context.Context, url string, by Deed, progress func(step string, done, total int)) (report *MoveReport, err error) {
	if progress == nil {
		progress = func(string, int, int) {}
	}
	to, err := open(ctx, url)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	report = &MoveReport{}
	var mark string
	err = s.Read(ctx, func(tx *Tx) error {
		if mark, err = tx.moment(); err != nil {
			return err
		}
		if err := s.beginMove(ctx, to, mark); err != nil {
			return err
		}
		tables, err := copiedTables(s.dialect, tx.DB)
		if err != nil {
			return err
		}
		report.Tables = len(tables)
		for i := range tables {
			m := &moving{ctx: ctx, to: to, table: &tables[i], report: report, progress: progress}
			if err := m.copy(tx.DB); err != nil {
				return fmt.Errorf("copying %s: %w", tables[i].Name, err)
			}
		}
		return nil
	})
	if err != nil {
		return report, err
	}
	return report, s.endMove(ctx, to, mark, by, report, progress)
}

// moment tells one state of the yard from every other.
func (tx *Tx) moment() (string, error) {
	var seq, reads int64
	var seal string
	if err := tx.DB.Raw("SELECT seq, seal FROM logbook_head WHERE id = 1").Row().Scan(&seq, &seal); err != nil {
		return "", err
	}
	err := tx.DB.Raw("SELECT COUNT(*) FROM reads").Row().Scan(&reads)
	return fmt.Sprintf("%d/%d/%s/%d", tx.Version, seq, seal, reads), err
}

// beginMove makes the new database's tables and the mark that it is not done,
// or finds those of an earlier run.
func (s *Store) beginMove(ctx context.Context, to *Store, mark string) error {
	versions, err := s.appliedVersions(ctx)
	if err != nil {
		return err
	}
	begun := to.write.WithContext(ctx).Migrator().HasTable(movesTable)
	if begun {
		var was string
		err := to.write.WithContext(ctx).Raw("SELECT mark FROM " + movesTable + " WHERE name = ''").Row().Scan(&was)
		if err == nil && was == mark {
			return nil
		}
	}
	if err := to.tablesOf(ctx, versions, begun); err != nil {
		return err
	}
	return to.change(ctx, func(db *gorm.DB) error {
		for _, statement := range []string{
			"DROP TABLE IF EXISTS " + movesTable,
			"CREATE TABLE " + movesTable + " (name TEXT PRIMARY KEY, mark TEXT NOT NULL, done BIGINT NOT NULL)",
		} {
			if err := db.Exec(statement).Error; err != nil {
				return err
			}
		}
		tables, err := copiedTables(to.dialect, db)
		if err != nil {
			return err
		}
		if err := (&Tx{DB: db, dialect: to.dialect}).empty(tables); err != nil {
			return err
		}
		return db.Exec("INSERT INTO "+movesTable+" (name, mark, done) VALUES ('', ?, 0)", mark).Error
	})
}

// moving copies one table.
type moving struct {
	ctx      context.Context
	to       *Store
	table    *tableInfo
	report   *MoveReport
	progress func(step string, done, total int)
	held     [][]any
	done     int64
}

func (m *moving) copy(from *gorm.DB) error {
	here, err := copiedTables(m.to.dialect, m.to.write.WithContext(m.ctx))
	if err != nil {
		return err
	}
	at := slices.IndexFunc(here, func(t tableInfo) bool { return t.Name == m.table.Name })
	if at < 0 {
		return errors.New("the new database lacks the table")
	}
	into := *m.table
	into.Serial = here[at].Serial
	err = m.to.write.WithContext(m.ctx).Raw("SELECT COALESCE(MAX(done), 0) FROM "+movesTable+" WHERE name = ?", into.Name).Row().Scan(&m.done)
	if err != nil {
		return err
	}
	skip := m.done
	m.report.Already += skip
	err = eachRow(m.ctx, from, m.table, func(values []any) error {
		m.report.Rows++
		if skip > 0 {
			skip--
			return nil
		}
		m.held = append(m.held, slices.Clone(values))
		if len(m.held) == moveAtOnce {
			return m.write(&into)
		}
		return nil
	})
	if err == nil && skip > 0 {
		err = errors.New("the new database has more rows than the old one")
	}
	if err != nil {
		return err
	}
	return m.write(&into)
}

// write commits the rows held and how far the table is now, together.
func (m *moving) write(into *tableInfo) error {
	if len(m.held) == 0 {
		return nil
	}
	done := m.done + int64(len(m.held))
	err := m.to.change(m.ctx, func(db *gorm.DB) error {
		w := (&Tx{DB: db, dialect: m.to.dialect}).newRowWriter(m.ctx, into)
		for _, values := range m.held {
			if err := w.add(values); err != nil {
				return err
			}
		}
		if err := w.flush(); err != nil {
			return err
		}
		return db.Exec("INSERT INTO "+movesTable+" (name, mark, done) VALUES (?, '', ?) ON CONFLICT (name) DO UPDATE SET done = excluded.done",
			into.Name, done).Error
	})
	m.done, m.held = done, m.held[:0]
	m.progress("rows", int(m.report.Rows), int(m.report.Rows))
	return err
}

// endMove verifies the copy and opens it for use.
func (s *Store) endMove(ctx context.Context, to *Store, mark string, by Deed, report *MoveReport, progress func(string, int, int)) error {
	err := s.Read(ctx, func(tx *Tx) error {
		now, err := tx.moment()
		if err == nil && now != mark {
			err = Errorf(Conflict, "something was written meanwhile: stop the server and run the move again, which starts over")
		}
		return err
	})
	if err != nil {
		return err
	}
	err = to.InTx(ctx, func(tx *Tx) error {
		tables, err := copiedTables(to.dialect, tx.DB)
		if err != nil {
			return err
		}
		for i := range tables {
			if err := to.dialect.copied(tx.DB, &tables[i]); err != nil {
				return err
			}
		}
		if err := tx.verified(ctx, progress); err != nil {
			return err
		}
		if err := tx.DB.Exec("DROP TABLE " + movesTable).Error; err != nil {
			return err
		}
		return note(tx.DB, by, "moved here", "everything", fmt.Sprintf("%d rows of %d tables from a %s database", report.Rows, report.Tables, s.Kind()))
	})
	if err != nil {
		return err
	}
	_, err = s.NoteIfWritable(ctx, by, "moved away", "everything", fmt.Sprintf("%d rows to a %s database: work on in that one", report.Rows, to.Kind()))
	return err
}
