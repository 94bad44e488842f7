package models

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// RestoreOptions say how a backup is brought back.
type RestoreOptions struct {
	// Replace takes away what the database holds. Without it only an empty one is filled.
	Replace bool
	// Anyway keeps what was restored though it does not verify: a backup of a
	// database that was damaged, to be put right by a rebuild.
	Anyway   bool
	Progress func(step string, done, total int)
}

// Restore fills a database from a backup, whichever kind either is of. All is
// restored or nothing; it is verified by computing everything derived anew and
// by the seals of the logbook. No server may run on the database meanwhile.
func Restore(ctx context.Context, url, path string, by Deed, o RestoreOptions) (report *BackupReport, err error) {
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	report, versions, err := VerifyBackup(path)
	if err != nil {
		return nil, err
	}
	s, err := open(ctx, url)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := s.tablesOf(ctx, versions, o.Replace); err != nil {
		return nil, err
	}
	latest := slices.Equal(versions, s.knownVersions())
	err = s.InTx(ctx, func(tx *Tx) error {
		if err := tx.refill(ctx, path, o.Progress); err != nil {
			return err
		}
		if !latest {
			return nil
		}
		return tx.restored(ctx, report, by, o)
	})
	if err != nil || latest {
		return report, err
	}
	if err := s.migrate(ctx); err != nil {
		return nil, fmt.Errorf("bringing what was restored up to date: %w", err)
	}
	if err := s.sealHistory(ctx, by.At); err != nil {
		return nil, err
	}
	return report, s.InTx(ctx, func(tx *Tx) error { return tx.restored(ctx, report, by, o) })
}

// VerifyBackup reads a backup through: what it holds, and the migrations its
// tables are of. A file that is damaged or cut is refused.
func VerifyBackup(path string) (*BackupReport, []int64, error) {
	r, err := openBackup(path)
	if err != nil {
		return nil, nil, err
	}
	defer r.close()
	digest, err := r.each(func(*tableInfo) error { return nil }, func([]any) error { return nil })
	if err != nil {
		return nil, nil, err
	}
	report := &BackupReport{Rows: r.rows, Digest: digest, Made: r.head.Made}
	if info, err := r.file.Stat(); err == nil {
		report.Bytes = info.Size()
	}
	return report, r.head.Migrations, nil
}

// knownVersions are the migrations that this program has.
func (s *Store) knownVersions() []int64 {
	var versions []int64
	for _, source := range s.migrations.ListSources() {
		versions = append(versions, source.Version)
	}
	return versions
}

// tablesOf brings a database to the tables that a backup was made of.
func (s *Store) tablesOf(ctx context.Context, versions []int64, replace bool) error {
	for _, v := range versions {
		if !slices.Contains(s.knownVersions(), v) {
			return Errorf(Conflict, "the backup was made by a newer program (tables of version %d): restore it with that one", v)
		}
	}
	tables, err := copiedTables(s.dialect, s.write.WithContext(ctx))
	if err != nil {
		return err
	}
	full, err := holdsRows(s.write.WithContext(ctx), tables)
	if err != nil {
		return err
	}
	if full != "" && !replace {
		return Errorf(Conflict, "the database is not empty (%s holds rows): name a new one, or say --replace to lose what it holds", full)
	}
	applied, err := s.appliedVersions(ctx)
	if err != nil || slices.Equal(applied, versions) {
		return err
	}
	if full != "" {
		return Errorf(Conflict, "the database has tables of another version than the backup: name a new database")
	}
	if len(applied) > 0 {
		if _, err := s.migrations.DownTo(ctx, 0); err != nil {
			return err
		}
	}
	for _, v := range versions {
		if _, err := s.migrations.ApplyVersion(ctx, v, true); err != nil {
			return fmt.Errorf("making the tables of version %d: %w", v, err)
		}
	}
	return nil
}

// refill puts a backup's rows in the place of all there are.
func (tx *Tx) refill(ctx context.Context, path string, progress func(step string, done, total int)) error {
	tables, err := copiedTables(tx.dialect, tx.DB)
	if err != nil {
		return err
	}
	if err := tx.empty(tables); err != nil {
		return err
	}
	r, err := openBackup(path)
	if err != nil {
		return err
	}
	defer r.close()
	var w *rowWriter
	finish := func() error {
		if w == nil {
			return nil
		}
		if err := w.flush(); err != nil {
			return err
		}
		return tx.dialect.copied(tx.DB, w.table)
	}
	_, err = r.each(func(t *tableInfo) error {
		if err := finish(); err != nil {
			return err
		}
		here := slices.IndexFunc(tables, func(is tableInfo) bool { return is.Name == t.Name })
		if here < 0 || len(tables[here].Columns) != len(t.Columns) {
			return Errorf(Conflict, "the backup has a table %s that the database lacks, or has otherwise", t.Name)
		}
		t.Serial = tables[here].Serial
		w = tx.newRowWriter(ctx, t)
		return nil
	}, func(values []any) error {
		if r.rows%100_000 == 0 {
			progress("rows", int(r.rows), int(r.rows))
		}
		return w.add(values)
	})
	if err != nil {
		return err
	}
	if err := finish(); err != nil {
		return err
	}
	return tx.passVersion()
}

// empty takes every row out of the tables, and of those that no copy holds.
func (tx *Tx) empty(tables []tableInfo) error {
	for _, t := range slices.Backward(tables) {
		if err := tx.DB.Exec(`DELETE FROM "` + t.Name + `"`).Error; err != nil {
			return err
		}
	}
	all, err := tx.dialect.tables(tx.DB)
	if err != nil {
		return err
	}
	for _, t := range all {
		if slices.Contains(passing, t.Name) {
			if err := tx.DB.Exec(`DELETE FROM "` + t.Name + `"`).Error; err != nil {
				return err
			}
		}
	}
	return nil
}

// passVersion makes the yard's version one that this database never had, so
// that nobody takes what they know of it for what is there now.
func (tx *Tx) passVersion() error {
	was := tx.Version
	if err := tx.DB.Raw("SELECT version FROM yard_state WHERE id = 1").Row().Scan(&tx.Version); err != nil {
		return err
	}
	if was == 0 {
		return nil
	}
	tx.Version = max(was, tx.Version) + 1
	return tx.DB.Exec("UPDATE yard_state SET version = ? WHERE id = 1", tx.Version).Error
}

// verified holds a copy against itself: everything derived is computed anew,
// every seal reckoned. It looks with fresh eyes, for what this transaction knew is gone.
func (tx *Tx) verified(ctx context.Context, progress func(step string, done, total int)) error {
	fresh := &Tx{DB: tx.DB, Version: tx.Version, dialect: tx.dialect, kept: &snapshots{}}
	differences, err := fresh.check(ctx, progress)
	if err != nil {
		return err
	}
	if len(differences) > 0 {
		return Errorf(Conflict, "what was copied is not what is computed anew, in %d places, first: %s", len(differences), differences[0])
	}
	_, err = fresh.VerifyLogbook(Seal{})
	return err
}

// restored verifies what was restored and notes it.
func (tx *Tx) restored(ctx context.Context, report *BackupReport, by Deed, o RestoreOptions) error {
	if err := tx.verified(ctx, o.Progress); err != nil && !o.Anyway {
		return fmt.Errorf("the backup is whole, but what it holds does not verify (--anyway keeps it, to be put right): %w", err)
	}
	return note(tx.DB, by, "restored", "backup of "+report.Made.String(), fmt.Sprintf("%d rows, SHA-256 %s", report.Rows, report.Digest))
}
