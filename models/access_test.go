package models_test

import (
	"testing"

	"hulltally/models/conformance"
)

func TestAccessSQLite(t *testing.T) { conformance.RunAccess(t, conformance.SQLite) }

func TestAccessPostgres(t *testing.T) { conformance.RunAccess(t, conformance.Postgres) }
