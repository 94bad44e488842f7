package models

import (
	"fmt"
	"slices"

	"gorm.io/gorm"
)

// tableInfo is one table of the database as it stands, whatever made it: what a
// copy of everything needs to know.
type tableInfo struct {
	Name    string       `json:"table"`
	Columns []columnInfo `json:"columns"`
	Key     []string     `json:"-"` // the primary key's columns
	Parents []string     `json:"-"` // tables that its rows refer to
	Serial  string       `json:"-"` // the column that the database numbers, if any
}

// columnInfo is a column and what it holds: text, integer or boolean.
type columnInfo struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
}

const (
	kindText    = "text"
	kindInteger = "integer"
	kindBoolean = "boolean"
)

// passing are tables whose rows are of no use in a copy, or would do harm there:
// a session that was ended would live again.
var passing = []string{"web_sessions", "one_time_links", "enrol_codes"}

// migrationsTable is where goose keeps which migrations were applied.
const migrationsTable = "goose_db_version"

// movesTable marks a database that a move has not finished.
const movesTable = "unfinished_move"

// copiedTables lists the tables that a copy of everything holds, each after
// those it refers to.
func copiedTables(d dialect, db *gorm.DB) ([]tableInfo, error) {
	all, err := d.tables(db)
	if err != nil {
		return nil, fmt.Errorf("listing the tables: %w", err)
	}
	all = slices.DeleteFunc(all, func(t tableInfo) bool {
		return t.Name == migrationsTable || t.Name == movesTable || slices.Contains(passing, t.Name)
	})
	slices.SortFunc(all, func(a, b tableInfo) int { return compareText(a.Name, b.Name) })
	var ordered []tableInfo
	placed := map[string]bool{}
	for len(all) > 0 {
		before := len(all)
		all = slices.DeleteFunc(all, func(t tableInfo) bool {
			ready := !slices.ContainsFunc(t.Parents, func(p string) bool { return p != t.Name && !placed[p] })
			if ready {
				ordered = append(ordered, t)
				placed[t.Name] = true
			}
			return ready
		})
		if len(all) == before {
			return nil, fmt.Errorf("the tables refer to each other in a circle: %s and others", all[0].Name)
		}
	}
	return ordered, nil
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// holdsRows names a table with rows that are somebody's, or is empty: a fresh
// database has only its two counters.
func holdsRows(db *gorm.DB, tables []tableInfo) (string, error) {
	for _, t := range tables {
		query := `SELECT COUNT(*) FROM (SELECT 1 FROM "` + t.Name + `" LIMIT 1) AS one`
		switch t.Name {
		case "yard_state":
			query = "SELECT COUNT(*) FROM yard_state WHERE version > 0"
		case "logbook_head":
			query = "SELECT COUNT(*) FROM logbook_head WHERE seq > 0"
		}
		var n int64
		if err := db.Raw(query).Row().Scan(&n); err != nil {
			return "", err
		}
		if n > 0 {
			return t.Name, nil
		}
	}
	return "", nil
}
