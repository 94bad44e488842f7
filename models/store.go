package models

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
	"gorm.io/gorm/schema"

	"hulltally/costing"
)

// Store is an open, migrated database.
type Store struct {
	write, read *gorm.DB
	dialect     dialect
	migrations  *goose.Provider
	kept        snapshots
}

// dialect is what differs between the kinds of database.
type dialect interface {
	// name is the kind: sqlite or postgres.
	name() string
	// retryable reports an error after which the same transaction may succeed.
	retryable(err error) bool
	// readOnly reports an error that says nothing can be written here.
	readOnly(err error) bool
	// lockYard makes the transaction the only writer.
	lockYard(tx *gorm.DB) error
	// readOptions begins a transaction whose reads all see one moment.
	readOptions() txOptions
	// room is the free space in bytes of the database's disk, where it can be seen.
	room(s *Store) (free int64, ok bool)
	// tables lists every table there is, as it stands.
	tables(db *gorm.DB) ([]tableInfo, error)
	// copied is called for a table whose rows were copied with their numbers.
	copied(db *gorm.DB, t *tableInfo) error
	// insert writes columns of values.
	insert(ctx context.Context, pool gorm.ConnPool, in insertion) error
}

// Open opens the database of "sqlite:PATH" or "postgres://…" and brings its
// tables up to date.
func Open(ctx context.Context, url string) (*Store, error) {
	s, err := open(ctx, url)
	if err != nil {
		return nil, err
	}
	if err := s.refuseUnfinished(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("bringing the database up to date: %w", err), s.Close())
	}
	if err := s.sealHistory(ctx, costing.InstantOf(time.Now())); err != nil {
		return nil, errors.Join(fmt.Errorf("sealing what was recorded before: %w", err), s.Close())
	}
	if err := s.reform(ctx); err != nil && !s.dialect.readOnly(err) {
		return nil, errors.Join(fmt.Errorf("bringing what is derived up to date: %w", err), s.Close())
	}
	return s, nil
}

// OpenVersion opens a database and brings its tables no further than to an
// earlier version, to try what an upgrade does. The store is good for nothing
// but rows put in by hand.
func OpenVersion(ctx context.Context, url string, version int64) (*Store, error) {
	s, err := open(ctx, url)
	if err != nil {
		return nil, err
	}
	if _, err := s.migrations.UpTo(ctx, version); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// Versions lists the versions of the tables there have been, ascending.
func (s *Store) Versions() (list []int64) {
	for _, source := range s.migrations.ListSources() {
		list = append(list, source.Version)
	}
	return list
}

// open opens a database as it is.
func open(ctx context.Context, url string) (*Store, error) {
	switch {
	case strings.HasPrefix(url, "sqlite:"):
		return openSQLite(ctx, strings.TrimPrefix(url, "sqlite:"))
	case strings.HasPrefix(url, "postgres://"), strings.HasPrefix(url, "postgresql://"):
		return openPostgres(ctx, url)
	}
	return nil, errors.New("the database address must begin with sqlite: or postgres://")
}

// Close gives the connections back.
func (s *Store) Close() error {
	err := closeDB(s.write)
	if s.read != s.write {
		err = errors.Join(err, closeDB(s.read))
	}
	return err
}

func closeDB(db *gorm.DB) error {
	if db == nil {
		return nil
	}
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}

// Kind is the kind of database: sqlite or postgres.
func (s *Store) Kind() string { return s.dialect.name() }

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	return pool.PingContext(ctx)
}

// config is gorm's set-up on both databases. Writes are in transactions of our
// own, and errors are told by type.
func config() *gorm.Config {
	return &gorm.Config{
		NamingStrategy:         namer{},
		SkipDefaultTransaction: true,
		TranslateError:         true,
		Logger:                 logger.Discard,
	}
}

// namer calls the table of a row by its yard file: LotRow is kept in lots.
type namer struct{ schema.NamingStrategy }

// TableName implements schema.Namer.
func (n namer) TableName(row string) string {
	name := strings.TrimSuffix(row, "Row")
	switch name {
	case "Tool":
		return "tooling"
	case "Policy", "Bought", "Billing", "Budget", "Estimate", "Landed", "FX", "Progress", "Settled":
		return strings.ToLower(name)
	}
	return n.NamingStrategy.TableName(name)
}
