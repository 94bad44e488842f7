package models

import (
	"bytes"
	"context"
	"embed"
	"io/fs"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// provider reads the one set of migrations with a dialect's types put in.
func provider(db *gorm.DB, kind goose.Dialect, types map[string]string, opts ...goose.ProviderOption) (*goose.Provider, error) {
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	sub, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		return nil, err
	}
	var pairs []string
	for token, sqlType := range types {
		pairs = append(pairs, "{{"+token+"}}", sqlType)
	}
	return goose.NewProvider(kind, pool, typedFS{sub, strings.NewReplacer(pairs...)}, opts...)
}

// migrate applies what is missing. SQLite knows no lock for it: of two programs
// that start together one may fail, and finds the work done when it tries again.
func (s *Store) migrate(ctx context.Context) error {
	_, err := s.migrations.Up(ctx)
	for try := 0; err != nil && try < 3 && s.dialect.name() == "sqlite" && ctx.Err() == nil; try++ {
		time.Sleep(100 * time.Millisecond)
		_, err = s.migrations.Up(ctx)
	}
	return err
}

// MigrationVersion is the version the database is at, and the one this program
// brings it to.
func (s *Store) MigrationVersion(ctx context.Context) (current, latest int64, err error) {
	return s.migrations.GetVersions(ctx)
}

// typedFS puts type names in for the tokens of SQL files.
type typedFS struct {
	fs.FS
	types *strings.Replacer
}

// Open implements fs.FS.
func (f typedFS) Open(name string) (fs.File, error) {
	if !strings.HasSuffix(name, ".sql") {
		return f.FS.Open(name)
	}
	text, err := fs.ReadFile(f.FS, name)
	if err != nil {
		return nil, err
	}
	info, err := fs.Stat(f.FS, name)
	if err != nil {
		return nil, err
	}
	return typedFile{strings.NewReader(f.types.Replace(string(bytes.TrimSpace(text)))), info}, nil
}

type typedFile struct {
	*strings.Reader
	info fs.FileInfo
}

func (f typedFile) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f typedFile) Close() error               { return nil }
