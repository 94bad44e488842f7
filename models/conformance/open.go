// Package conformance is the suite that every kind of database must pass: each
// behaviour of the store is written down here once and runs on all of them.
package conformance

import (
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"hulltally/models"
)

// PostgresEnv names the variable with the address of a PostgreSQL server where
// tests may create databases.
const PostgresEnv = "HULLTALLY_TEST_POSTGRES"

// SQLite opens a new embedded database that goes with the test.
func SQLite(t testing.TB) *models.Store {
	t.Helper()
	return open(t, "sqlite:"+filepath.Join(t.TempDir(), "yard.db"))
}

// Postgres opens a new PostgreSQL database that goes with the test. A missing
// server fails the test: skipping is how a second database rots.
func Postgres(t testing.TB) *models.Store {
	t.Helper()
	return open(t, PostgresURL(t))
}

// PostgresURL is the address of a new, empty PostgreSQL database that goes with the test.
func PostgresURL(t testing.TB) string {
	t.Helper()
	server, err := url.Parse(os.Getenv(PostgresEnv))
	if err != nil || server.Host == "" {
		t.Fatalf("set %s to the address of a PostgreSQL server, such as postgres://postgres@127.0.0.1:5432/postgres", PostgresEnv)
	}
	admin, err := sql.Open("pgx", server.String()) // the driver models brings along
	if err != nil {
		t.Fatal(err)
	}
	random := make([]byte, 8)
	if _, err := rand.Read(random); err != nil {
		t.Fatal(err)
	}
	name := "test_" + hex.EncodeToString(random)
	if _, err := admin.Exec("CREATE DATABASE " + name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // after the store is closed: clean-ups run last in, first out
		if _, err := admin.Exec("DROP DATABASE " + name); err != nil {
			t.Error(err)
		}
		if err := admin.Close(); err != nil {
			t.Error(err)
		}
	})
	server.Path = "/" + name
	return server.String()
}

func open(t testing.TB, address string) *models.Store {
	t.Helper()
	s, err := models.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
