package models

import (
	"fmt"
	"strings"

	"gorm.io/gorm"
)

func (postgresDialect) tables(db *gorm.DB) ([]tableInfo, error) {
	var rows []struct{ Tbl, Col, Type, Serial string }
	err := db.Raw(`SELECT c.table_name AS tbl, c.column_name AS col, c.data_type AS type, c.is_identity AS serial
		FROM information_schema.columns c JOIN information_schema.tables t ON t.table_schema = c.table_schema AND t.table_name = c.table_name
		WHERE c.table_schema = current_schema() AND t.table_type = 'BASE TABLE' ORDER BY c.table_name, c.ordinal_position`).Scan(&rows).Error
	if err != nil {
		return nil, err
	}
	var tables []tableInfo
	at := map[string]int{}
	for _, r := range rows {
		if _, known := at[r.Tbl]; !known {
			at[r.Tbl] = len(tables)
			tables = append(tables, tableInfo{Name: r.Tbl})
		}
		t := &tables[at[r.Tbl]]
		kind := map[string]string{"text": kindText, "bigint": kindInteger, "integer": kindInteger, "boolean": kindBoolean}[r.Type]
		if kind == "" && t.Name != migrationsTable {
			return nil, fmt.Errorf("column %s of table %s holds %s, which cannot be copied", r.Col, r.Tbl, r.Type)
		}
		t.Columns = append(t.Columns, columnInfo{r.Col, kind})
		if r.Serial == "YES" {
			t.Serial = r.Col
		}
	}
	var rules []struct{ Tbl, Kind, Parent, Cols string }
	err = db.Raw(`SELECT c.relname AS tbl, k.contype AS kind, COALESCE(p.relname, '') AS parent,
		(SELECT string_agg(a.attname, ',' ORDER BY array_position(k.conkey, a.attnum)) FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attnum = ANY (k.conkey)) AS cols
		FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid JOIN pg_namespace n ON n.oid = c.relnamespace LEFT JOIN pg_class p ON p.oid = k.confrelid
		WHERE n.nspname = current_schema() AND k.contype IN ('p', 'f')`).Scan(&rules).Error
	for _, r := range rules {
		t := &tables[at[r.Tbl]]
		if r.Kind == "p" {
			t.Key = strings.Split(r.Cols, ",")
		} else {
			t.Parents = append(t.Parents, r.Parent)
		}
	}
	return tables, err
}

// copied lets the numbering of rows go on after those that were copied.
func (postgresDialect) copied(db *gorm.DB, t *tableInfo) error {
	if t.Serial == "" {
		return nil
	}
	return db.Exec(fmt.Sprintf(`SELECT setval(pg_get_serial_sequence('"%s"', '%s'), GREATEST((SELECT COALESCE(MAX("%s"), 0) FROM "%s"), 1), EXISTS (SELECT 1 FROM "%s"))`,
		t.Name, t.Serial, t.Serial, t.Name, t.Name)).Error
}
