package conformance

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"hulltally/cmd/floorsim/sim"
	"hulltally/models"
)

// testMonth holds a month of the simulated yard to a reckoning in plain SQL
// that shares nothing with the engine but what was recorded.
func testMonth(t *testing.T, open func(t testing.TB) *models.Store) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	dir := t.TempDir()
	if err := sim.Generate(sim.Default()).WriteYard(dir); err != nil {
		t.Fatal(err)
	}
	yard := readFolder(t, dir)
	reads, err := models.ParseReads([]byte(yard["reads.csv"]))
	if err != nil {
		t.Fatal(err)
	}
	s := open(t)
	load(t, s, eventful(t, yard.with("reads.csv", "")).write(t))
	if _, err := s.Scan(t.Context(), reads, mustInstant("2026-11-02T08:00:00Z"), nil); err != nil {
		t.Fatal(err)
	}
	const period = " FROM postings WHERE period = 202609 AND element"
	for _, c := range []struct{ file, kept string }{
		{"month_labour.sql", "SELECT hull, stage, element, purpose, seconds, amount FROM totals WHERE period = 202609 AND element IN ('labour', 'overhead') " +
			"UNION ALL SELECT '', '', 'labour', '', CAST(SUM(seconds) AS BIGINT), CAST(SUM(amount) AS BIGINT)" + period + " = 'labour' AND hull = '' ORDER BY 1, 2, 3, 4"},
		{"month_stock.sql", "SELECT hull, stage, element, purpose, seconds, amount FROM totals WHERE period = 202609 AND element = 'material' " +
			"UNION ALL SELECT '', debit, 'material', '', 0, CAST(SUM(amount) AS BIGINT)" + period + " = 'material' AND hull = '' GROUP BY debit ORDER BY 1, 2, 3, 4"},
	} {
		want := query(t, s, c.kept)
		got := query(t, s, sqlText(t, c.file))
		if len(want) < 10 {
			t.Errorf("%s is held to only %d rows", c.file, len(want))
		}
		for i := range max(len(got), len(want)) {
			if rowAt(got, i) != rowAt(want, i) {
				t.Errorf("%s, row %d: reckoned %s, kept %s", c.file, i, rowAt(got, i), rowAt(want, i))
				break
			}
		}
	}
	checked(t, "the simulated yard", s)
}

// eventful changes the yard so that the month has dated policies, a holiday,
// shares that leave a remainder, and factors of a day.
func eventful(t testing.TB, yard folder) folder {
	add := func(file, rows string) { yard[file] += rows }
	add("policy.csv", "on_cost,2026-09-10,0.2475\ndaily_ordinary,2026-09-17,8h\nweekly_ordinary,2026-09-14,43h\n")
	add("holidays.csv", "2026-09-23,Launch day\n")
	add("rates.csv", "0103,2026-09-16,19.333333\n0109,2026-09-02,10.123457\n")
	add("overheads.csv", "SYS,2026-09-15,27.777777\n")
	yard["waste_factors.csv"] = "item,from,factor\nRES-LAM,2026-09-11,0.083457\nFLR-LT,2026-09-03,0.071\n"
	job := func(key, from, to string) {
		line := lineWith(t, yard["jobs.csv"], key+",")
		yard["jobs.csv"] = strings.Replace(yard["jobs.csv"], line, strings.Replace(line, from, to, 1), 1)
	}
	shared := lineWith(t, yard["jobs.csv"], "H207-BOND-1,")
	yard["jobs.csv"] = strings.Replace(yard["jobs.csv"], shared, strings.Replace(shared, ",H207,", ",,", 1)+"H207:2;H206:3;H205:2", 1)
	job("H207-SUPER-1", ",no,", ",yes,")
	return yard
}

func sqlText(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(filepath.Dir(Tiny()), "sql", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

var errRollBack = errors.New("what the query put down is not kept")

// query gives the rows of a script's last statement as text. The statements
// before it make temporary tables.
func query(t testing.TB, s *models.Store, script string) (list []string) {
	t.Helper()
	err := s.InTx(t.Context(), func(tx *models.Tx) error {
		statements := strings.Split(strings.TrimSuffix(strings.TrimSpace(script), ";"), ";\n")
		last := len(statements) - 1
		for _, statement := range statements[:last] {
			if err := tx.DB.Exec(statement).Error; err != nil {
				return fmt.Errorf("%w in\n%s", err, statement)
			}
		}
		rows, err := tx.DB.Raw(statements[last]).Rows()
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var hull, stage, element, purpose string
			var seconds, amount int64
			if err := rows.Scan(&hull, &stage, &element, &purpose, &seconds, &amount); err != nil {
				return err
			}
			if seconds != 0 || amount != 0 {
				list = append(list, fmt.Sprintf("%s %s %s %s: %d s, %d cents", hull, stage, element, purpose, seconds, amount))
			}
		}
		return cmp.Or(rows.Err(), errRollBack)
	})
	if !errors.Is(err, errRollBack) {
		t.Fatal(err)
	}
	slices.Sort(list)
	return list
}
