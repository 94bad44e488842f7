package models

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/libtnb/sqlite"
	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"
)

// sqliteReaders is how many connections may read beside the one writer.
const sqliteReaders = 4

type sqliteDialect struct{ path string }

func openSQLite(_ context.Context, path string) (*Store, error) {
	if path == "" || strings.HasPrefix(path, ":memory:") {
		return nil, errors.New("sqlite: needs the path of a file")
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o750); err != nil {
		return nil, fmt.Errorf("the database's folder: %w", err)
	}
	s := &Store{dialect: sqliteDialect{path}}
	var err error
	if s.write, err = sqlitePool(path, 1, "_txlock=immediate"); err != nil {
		return nil, err
	}
	if s.read, err = sqlitePool(path, sqliteReaders, "_pragma=query_only(1)"); err == nil {
		s.migrations, err = provider(s.write, goose.DialectSQLite3, sqliteTypes)
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// sqlitePool opens the file. One writing connection: SQLite has one writer
// anyhow, and waiting in Go is fairer than its busy timeout.
func sqlitePool(path string, connections int, extra string) (*gorm.DB, error) {
	dsn := "file:" + (&url.URL{Path: path}).EscapedPath() +
		"?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)" +
		"&_pragma=foreign_keys(1)&_time_format=sqlite&_timezone=UTC&" + extra
	db, err := gorm.Open(sqlite.Open(dsn), config())
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", path, err)
	}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(connections)
	pool.SetMaxIdleConns(connections)
	return db, nil
}

var sqliteTypes = map[string]string{
	"text":   "TEXT",
	"serial": "INTEGER PRIMARY KEY AUTOINCREMENT",
}

func (sqliteDialect) name() string { return "sqlite" }

func (sqliteDialect) retryable(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && (e.Code()&0xff == codes.SQLITE_BUSY || e.Code()&0xff == codes.SQLITE_LOCKED)
}

func (sqliteDialect) readOnly(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && (e.Code()&0xff == codes.SQLITE_READONLY || e.Code()&0xff == codes.SQLITE_CANTOPEN)
}

// lockYard does nothing: BEGIN IMMEDIATE has made this the only writer.
func (sqliteDialect) lockYard(*gorm.DB) error { return nil }

// readOptions: in WAL mode a reading transaction sees one moment.
func (sqliteDialect) readOptions() txOptions { return txOptions{} }

// sqliteRows is how many rows go into one INSERT: more save little, and its
// parameters stay below SQLite's limit for any table of ours.
const sqliteRows = 64

// insert runs prepared statements of many rows, and one more for the rest.
func (sqliteDialect) insert(ctx context.Context, pool gorm.ConnPool, in insertion) error {
	whole := in.len() / sqliteRows * sqliteRows
	if err := sqliteInsert(ctx, pool, in, 0, whole, sqliteRows); err != nil {
		return err
	}
	return sqliteInsert(ctx, pool, in, whole, in.len(), in.len()-whole)
}

// sqliteInsert writes the rows from one to another, step at a time.
func sqliteInsert(ctx context.Context, pool gorm.ConnPool, in insertion, from, to, step int) error {
	if from == to {
		return nil
	}
	marks := "(" + strings.TrimSuffix(strings.Repeat("?,", len(in.columns)), ",") + "),"
	values := strings.TrimSuffix(strings.Repeat(marks, step), ",")
	stmt, err := pool.PrepareContext(ctx, in.head()+" VALUES "+values+in.conflict)
	if err != nil {
		return err
	}
	defer stmt.Close()
	args := make([]any, 0, step*len(in.columns))
	for ; from < to; from += step {
		args = args[:0]
		for row := from; row < from+step; row++ {
			for _, c := range in.columns {
				args = append(args, c.at(row))
			}
		}
		if _, err := stmt.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	return nil
}

func (d sqliteDialect) room(*Store) (int64, bool) {
	var fs syscall.Statfs_t
	if syscall.Statfs(filepath.Dir(d.path), &fs) != nil {
		return 0, false
	}
	return int64(fs.Bavail) * fs.Bsize, true
}
