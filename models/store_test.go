package models_test

import (
	"path/filepath"
	"testing"

	"hulltally/models/conformance"
)

func TestSQLite(t *testing.T) { conformance.Run(t, conformance.SQLite) }

func TestPostgres(t *testing.T) { conformance.Run(t, conformance.Postgres) }

func TestTwoServersOnPostgres(t *testing.T) { conformance.TwoServers(t, conformance.PostgresURL(t)) }

func TestTwoFollowersOnPostgres(t *testing.T) {
	conformance.TwoFollowers(t, conformance.PostgresURL(t))
}

func TestSealedBeforeOnSQLite(t *testing.T) {
	conformance.SealedBefore(t, "sqlite:"+filepath.Join(t.TempDir(), "yard.db"))
}

func TestSealedBeforeOnPostgres(t *testing.T) {
	conformance.SealedBefore(t, conformance.PostgresURL(t))
}

func TestBackupsOfSQLite(t *testing.T) { conformance.Backups(t, conformance.SQLiteURL) }

func TestBackupsOfPostgres(t *testing.T) { conformance.Backups(t, conformance.PostgresURL) }
