package models_test

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"testing"

	"gorm.io/gorm"

	"hulltally/models"
	"hulltally/models/conformance"
	"hulltally/models/scantest"
)

func TestScansOnCore(t *testing.T) {
	scantest.Run(t, conformance.SQLite, func(t *testing.T, s *models.Store) scantest.Rig {
		rig, err := scantest.Core(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		return rig
	})
}

func TestScansOnSQLite(t *testing.T) {
	scantest.Run(t, conformance.SQLite, func(_ *testing.T, s *models.Store) scantest.Rig { return scantest.OnStore(s) })
}

func TestScansBackwards(t *testing.T) {
	scantest.Run(t, conformance.SQLite, func(_ *testing.T, s *models.Store) scantest.Rig { return scantest.Backwards(s) })
}

// One database serves all scripts, emptied between them: making one takes
// longer than a script.
func TestScansOnPostgres(t *testing.T) {
	address := conformance.PostgresURL(t)
	open := func(t testing.TB) *models.Store {
		s, err := models.Open(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := errors.Join(empty(s), s.Close()); err != nil {
				t.Error(err)
			}
		})
		return s
	}
	scantest.Run(t, open, func(_ *testing.T, s *models.Store) scantest.Rig { return scantest.OnStore(s) })
}

// empty takes out what a script put in. A table that others still refer to has
// to wait for them.
func empty(s *models.Store) error {
	return s.InTx(context.Background(), func(tx *models.Tx) error {
		var tables []string
		err := tx.DB.Raw("SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename NOT LIKE 'goose%' " +
			"AND tablename NOT LIKE 'logbook%' AND tablename <> 'yard_state'").Scan(&tables).Error
		for round := 0; err == nil && len(tables) > 0 && round < 10; round++ {
			tables = slices.DeleteFunc(tables, func(table string) bool {
				return tx.DB.Transaction(func(db *gorm.DB) error { return db.Exec("DELETE FROM " + table).Error }) == nil
			})
		}
		return cmp.Or(err, tx.DB.Exec("UPDATE yard_state SET version = 0").Error)
	})
}
