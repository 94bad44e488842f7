package models_test

import (
	"testing"

	"hulltally/models/conformance"
)

func TestSQLite(t *testing.T) { conformance.Run(t, conformance.SQLite) }

func TestPostgres(t *testing.T) { conformance.Run(t, conformance.Postgres) }
