package models

import (
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/pressly/goose/v3"

	"hulltally/costing"
)

// BackupReport is what a backup holds, and what it was read to be.
type BackupReport struct {
	Rows, Bytes int64
	Digest      string
	Made        costing.Instant
	Recorded    bool // in the database; not where it is read-only
}

// BackupRow is one backup that was taken.
type BackupRow struct {
	Seq      int64 `gorm:"primaryKey"`
	AtMs     costing.Instant
	File     string
	Digest   string
	RowCount int64
	Bytes    int64
}

// TableName implements gorm's Tabler.
func (BackupRow) TableName() string { return "backups" }

// Backup writes everything there is, as of one moment, to a new file, while
// others read and write. The file is there whole or not at all; one that is
// there already is left alone.
func (s *Store) Backup(ctx context.Context, path string, by Deed) (*BackupReport, error) {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil, Errorf(Conflict, "%s is there already: name a new file", path)
	}
	r := &BackupReport{Made: by.At}
	err := writeWhole(path, func(f *os.File) error {
		zip, err := gzip.NewWriterLevel(f, gzip.BestSpeed)
		if err != nil {
			return err
		}
		w := newBackupWriter(zip)
		if err := s.writeBackup(ctx, w, r); err != nil {
			return err
		}
		return zip.Close()
	})
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(path); err == nil {
		r.Bytes = info.Size()
	}
	err = s.InTx(ctx, func(tx *Tx) error {
		row := BackupRow{AtMs: r.Made, File: noted(path), Digest: r.Digest, RowCount: r.Rows, Bytes: r.Bytes}
		if err := tx.DB.Omit("Seq").Create(&row).Error; err != nil {
			return err
		}
		return note(tx.DB, by, "backed up", "everything", fmt.Sprintf("%d rows to %s, SHA-256 %s", r.Rows, path, r.Digest))
	})
	if err != nil && !s.ReadOnly(err) {
		return r, fmt.Errorf("the backup is written, but noting it failed: %w", err)
	}
	r.Recorded = err == nil
	return r, nil
}

func (s *Store) writeBackup(ctx context.Context, w *backupWriter, r *BackupReport) error {
	versions, err := s.appliedVersions(ctx)
	if err != nil {
		return err
	}
	return s.Read(ctx, func(tx *Tx) error {
		if err := w.json(backupHead{backupFormat, r.Made, s.Kind(), versions}); err != nil {
			return err
		}
		tables, err := copiedTables(tx.dialect, tx.DB)
		if err != nil {
			return err
		}
		for i := range tables {
			t := &tables[i]
			if err := w.json(t); err != nil {
				return err
			}
			if err := eachRow(ctx, tx.DB, t, w.row); err != nil {
				return fmt.Errorf("reading %s: %w", t.Name, err)
			}
		}
		r.Rows = w.rows
		r.Digest, err = w.foot()
		return err
	})
}

// appliedVersions are the migrations that made the tables as they are.
func (s *Store) appliedVersions(ctx context.Context) ([]int64, error) {
	list, err := s.migrations.Status(ctx)
	if err != nil {
		return nil, err
	}
	var versions []int64
	for _, m := range list {
		if m.State == goose.StateApplied {
			versions = append(versions, m.Source.Version)
		}
	}
	return versions, nil
}

// writeWhole makes a file that is there whole, and on the disk, or not at all.
// It never writes over another.
func writeWhole(path string, write func(f *os.File) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("the file cannot be made: %w", err)
	}
	defer func() { _ = os.Remove(f.Name()) }() // under its own name it stays
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Link(f.Name(), path) // unlike a rename it fails where there is one
	}
	if errors.Is(err, fs.ErrExist) {
		return Errorf(Conflict, "%s is there already: name a new file", path)
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder brings a folder's names onto the disk.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// LastBackup is the newest backup that was recorded; nil where there is none.
func (s *Store) LastBackup(ctx context.Context) (last *BackupRow, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		last, err = tx.lastBackup()
		return err
	})
	return last, err
}

func (tx *Tx) lastBackup() (*BackupRow, error) {
	var rows []BackupRow
	err := tx.DB.Order("at_ms DESC, seq DESC").Limit(1).Find(&rows).Error
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	return &rows[0], nil
}

// staleBackup is how old the newest backup may be before a person should look,
// in milliseconds: a night may fail once.
const staleBackup = costing.Instant(50 * 3600 * 1000)

func (tx *Tx) healthOfBackups(_ context.Context, h *Health, now costing.Instant) error {
	last, err := tx.lastBackup()
	switch {
	case err != nil:
		return err
	case last == nil:
		h.Look = append(h.Look, "no backup was ever taken: hulltally backup FILE takes one")
	case now-last.AtMs > staleBackup:
		h.Look = append(h.Look, fmt.Sprintf("the last backup is %d hours old", (now-last.AtMs)/3_600_000))
	default:
		h.Well = append(h.Well, fmt.Sprintf("the last backup is %d hours old", (now-last.AtMs)/3_600_000))
	}
	return nil
}
