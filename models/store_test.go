package models_test

import (
	"testing"

	"hulltally/models/conformance"
)

func TestSQLite(t *testing.T) { conformance.Run(t, conformance.SQLite) }

func TestPostgres(t *testing.T) { conformance.Run(t, conformance.Postgres) }

func TestTwoServersOnPostgres(t *testing.T) { conformance.TwoServers(t, conformance.PostgresURL(t)) }
