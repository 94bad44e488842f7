package models

import (
	"fmt"
	"strings"

	"gorm.io/gorm"
)

func (sqliteDialect) tables(db *gorm.DB) ([]tableInfo, error) {
	var rows []struct {
		Tbl, Col, Type string
		Pk             int
	}
	err := db.Raw(`SELECT m.name AS tbl, c.name AS col, UPPER(c.type) AS type, c.pk AS pk FROM sqlite_master m, pragma_table_info(m.name) c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY m.name, c.cid`).Scan(&rows).Error
	if err != nil {
		return nil, err
	}
	var tables []tableInfo
	keys := map[string]map[int]string{}
	for _, r := range rows {
		if len(tables) == 0 || tables[len(tables)-1].Name != r.Tbl {
			tables = append(tables, tableInfo{Name: r.Tbl})
			keys[r.Tbl] = map[int]string{}
		}
		t := &tables[len(tables)-1]
		kind := map[string]string{"TEXT": kindText, "BIGINT": kindInteger, "INTEGER": kindInteger, "BOOLEAN": kindBoolean}[r.Type]
		if kind == "" && t.Name != migrationsTable {
			return nil, fmt.Errorf("column %s of table %s holds %s, which cannot be copied", r.Col, r.Tbl, r.Type)
		}
		t.Columns = append(t.Columns, columnInfo{r.Col, kind})
		if r.Pk > 0 {
			keys[r.Tbl][r.Pk] = r.Col
		}
	}
	var links []struct{ Tbl, Parent string }
	err = db.Raw(`SELECT m.name AS tbl, f."table" AS parent FROM sqlite_master m, pragma_foreign_key_list(m.name) f WHERE m.type = 'table'`).Scan(&links).Error
	for i := range tables {
		t := &tables[i]
		for n := 1; n <= len(keys[t.Name]); n++ {
			t.Key = append(t.Key, keys[t.Name][n])
		}
		for _, l := range links {
			if l.Tbl == t.Name {
				t.Parents = append(t.Parents, strings.ToLower(l.Parent))
			}
		}
	}
	return tables, err
}

// copied does nothing: AUTOINCREMENT goes on from the highest number there is.
func (sqliteDialect) copied(*gorm.DB, *tableInfo) error { return nil }
