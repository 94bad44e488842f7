package models

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	"gorm.io/driver/postgres"
	"gorm.io/gorm"
)

// postgresConnections bounds what one server takes of the database's connections.
const postgresConnections = 16

// rowsAtOnce is how many rows go into one INSERT.
const rowsAtOnce = 5000

type postgresDialect struct{}

func openPostgres(ctx context.Context, url string) (*Store, error) {
	db, err := gorm.Open(postgres.Open(url), config())
	if err != nil {
		return nil, fmt.Errorf("opening the PostgreSQL database: %w", err)
	}
	s := &Store{write: db, read: db, dialect: postgresDialect{}}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(postgresConnections)
	pool.SetMaxIdleConns(postgresConnections)
	if err := pool.PingContext(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("reaching the PostgreSQL database: %w", err), s.Close())
	}
	// Servers that start together must not migrate together.
	locker, err := lock.NewPostgresSessionLocker()
	if err == nil {
		s.migrations, err = provider(db, goose.DialectPostgres, postgresTypes, goose.WithSessionLocker(locker))
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// postgresTypes: text sorts by bytes, as it does on SQLite.
var postgresTypes = map[string]string{
	"text":   `TEXT COLLATE "C"`,
	"serial": "BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY",
}

func (postgresDialect) name() string { return "postgres" }

func (postgresDialect) retryable(err error) bool {
	var e *pgconn.PgError
	return errors.As(err, &e) && (e.Code == "40001" || e.Code == "40P01") // serialization failure, deadlock
}

func (postgresDialect) readOnly(err error) bool {
	var e *pgconn.PgError
	return errors.As(err, &e) && (e.Code == "25006" || e.Code == "42501") // read-only transaction, insufficient privilege
}

// lockYard takes the yard's one row, so that one transaction writes at a time
// over all servers.
func (postgresDialect) lockYard(tx *gorm.DB) error {
	return tx.Exec("SELECT version FROM yard_state WHERE id = 1 FOR UPDATE").Error
}

func (postgresDialect) readOptions() txOptions {
	return txOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}
}

// insert sends whole columns as arrays: one round trip for thousands of rows.
func (postgresDialect) insert(ctx context.Context, pool gorm.ConnPool, in insertion) error {
	marks := make([]string, len(in.columns))
	for i, c := range in.columns {
		marks[i] = fmt.Sprintf("$%d::%s[]", i+1, c.sqlType())
	}
	head := in.head()
	if in.numbered {
		head += " OVERRIDING SYSTEM VALUE"
	}
	query := head + " SELECT * FROM unnest(" + strings.Join(marks, ", ") + ")" + in.conflict
	args := make([]any, len(in.columns))
	for from := 0; from < in.len(); from += rowsAtOnce {
		to := min(from+rowsAtOnce, in.len())
		for i, c := range in.columns {
			args[i] = c.slice(from, to)
		}
		if _, err := pool.ExecContext(ctx, query, args...); err != nil {
			return err
		}
	}
	return nil
}

// room: the server's disk cannot be seen from a client.
func (postgresDialect) room(*Store) (int64, bool) { return 0, false }
