package models

import (
	"context"
	"database/sql"
	"time"

	"gorm.io/gorm"
)

type txOptions = sql.TxOptions

// Tx is one transaction. Nothing else of the store may be used inside it.
type Tx struct {
	// DB is gorm within the transaction.
	DB *gorm.DB
	// Version counts the changes of the yard's own data; it is as the
	// transaction found it, or one more once Bump was called.
	Version int64

	dialect dialect
	kept    *snapshots
	own     *Snapshot // of the version this transaction makes
	bumped  bool
}

// writeTries bounds how often a transaction that met another is begun anew.
const writeTries = 5

// InTx runs f in a writing transaction, one at a time over all servers. Where
// the database asks for it f is run again from the start, so f must not keep
// anything from a run that failed.
func (s *Store) InTx(ctx context.Context, f func(tx *Tx) error) error {
	for try := 1; ; try++ {
		var done *Tx
		err := s.write.WithContext(ctx).Transaction(func(db *gorm.DB) error {
			if err := s.dialect.lockYard(db); err != nil {
				return err
			}
			return s.run(db, func(tx *Tx) error {
				done = tx
				return f(tx)
			})
		})
		if err == nil {
			s.kept.keep(done.own)
			return nil
		}
		if try == writeTries || !s.dialect.retryable(err) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(time.Duration(try*try) * 10 * time.Millisecond):
		}
	}
}

// Read runs f in a transaction whose reads all see the same moment.
func (s *Store) Read(ctx context.Context, f func(tx *Tx) error) error {
	options := s.dialect.readOptions()
	return s.read.WithContext(ctx).Transaction(func(db *gorm.DB) error { return s.run(db, f) }, &options)
}

func (s *Store) run(db *gorm.DB, f func(tx *Tx) error) error {
	tx := &Tx{DB: db, dialect: s.dialect, kept: &s.kept}
	if err := db.Raw("SELECT version FROM yard_state WHERE id = 1").Row().Scan(&tx.Version); err != nil {
		return err
	}
	return f(tx)
}

// Bump counts the yard's version up, once a transaction.
func (tx *Tx) Bump() error {
	tx.own = nil // what it showed is no longer all
	if tx.bumped {
		return nil
	}
	tx.bumped = true
	tx.Version++
	return tx.DB.Exec("UPDATE yard_state SET version = ? WHERE id = 1", tx.Version).Error
}
