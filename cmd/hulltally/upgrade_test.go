package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
	"hulltally/models/conformance"
)

// upgradeDir holds, for earlier versions of the tables, every row of a yard as
// the program of that time wrote it, and the reports it printed of them.
const upgradeDir = "../../testdata/upgrade"

// TestUpgrade: the data of every earlier version comes to count as it did,
// whether the upgrade runs at once, version by version, or is interrupted.
func TestUpgrade(t *testing.T) {
	fixtures, err := filepath.Glob(filepath.Join(upgradeDir, "v*.jsonl"))
	require.NoError(t, err)
	require.NotEmpty(t, fixtures)
	for _, fixture := range fixtures {
		from, err := strconv.ParseInt(strings.TrimSuffix(strings.TrimPrefix(filepath.Base(fixture), "v"), ".jsonl"), 10, 64)
		require.NoError(t, err)
		for kind, address := range map[string]func(testing.TB) string{
			"sqlite":   func(t testing.TB) string { return "sqlite:" + filepath.Join(t.TempDir(), "yard.db") },
			"postgres": conformance.PostgresURL,
		} {
			for way, forward := range map[string]func(t *testing.T, url string, from int64){
				"at once": func(*testing.T, string, int64) {}, "step by step": stepByStep, "interrupted": interrupted,
			} {
				t.Run(kind+" from "+strconv.FormatInt(from, 10)+" "+way, func(t *testing.T) {
					url := address(t)
					fill(t, url, from, fixture)
					forward(t, url, from)
					sameAsBefore(t, url, strings.TrimSuffix(fixture, ".jsonl"))
				})
			}
		}
	}
}

func stepByStep(t *testing.T, url string, from int64) {
	s, err := models.OpenVersion(t.Context(), url, from)
	require.NoError(t, err)
	versions := s.Versions()
	require.NoError(t, s.Close())
	for _, v := range versions {
		if v > from {
			s, err := models.OpenVersion(t.Context(), url, v)
			require.NoError(t, err)
			require.NoError(t, s.Close())
		}
	}
}

// interrupted ends upgrades early, at more and more of their way.
func interrupted(t *testing.T, url string, _ int64) {
	for wait := time.Millisecond; wait < 40*time.Millisecond; wait *= 2 {
		ctx, cancel := context.WithTimeout(t.Context(), wait)
		if s, err := models.Open(ctx, url); err == nil {
			require.NoError(t, s.Close())
		}
		cancel()
	}
}

// sameAsBefore holds the upgraded yard to what the program of then printed.
func sameAsBefore(t *testing.T, url, fixture string) {
	for range 2 { // an upgraded database is upgraded again, which does nothing
		s, err := models.Open(t.Context(), url)
		require.NoError(t, err)
		current, latest, err := s.MigrationVersion(t.Context())
		require.NoError(t, err)
		assert.Equal(t, latest, current)
		differences, err := s.Check(t.Context(), func(string, int, int) {})
		require.NoError(t, err)
		assert.Empty(t, differences)
		_, err = s.VerifyLogbook(t.Context(), models.Seal{})
		require.NoError(t, err)
		require.NoError(t, s.Close())
	}
	for _, report := range []string{"cost", "hours", "stock", "mass", "ties"} {
		want, err := os.ReadFile(fixture + "-" + report + ".json")
		require.NoError(t, err)
		var out, errs bytes.Buffer
		code := run(t.Context(), []string{"--database", url, "report", report, "--as", "json", "--at", "2026-08-30T12:00:00Z"},
			env{strings.NewReader(""), &out, &errs, time.Now})
		require.Zero(t, code, errs.String())
		within(t, report, decoded(t, want), decoded(t, out.Bytes()))
	}
}

func decoded(t *testing.T, text []byte) (v any) {
	t.Helper()
	require.NoError(t, json.Unmarshal(text, &v), string(text))
	return v
}

// within: everything that was said then is said now; more may be said.
func within(t *testing.T, where string, want, got any) {
	t.Helper()
	switch want := want.(type) {
	case map[string]any:
		object, ok := got.(map[string]any)
		require.True(t, ok, where)
		for k, v := range want {
			within(t, where+"."+k, v, object[k])
		}
	case []any:
		list, ok := got.([]any)
		require.True(t, ok, where)
		require.Len(t, list, len(want), where)
		for i := range want {
			within(t, where+"["+strconv.Itoa(i)+"]", want[i], list[i])
		}
	default:
		assert.Equal(t, want, got, where)
	}
}

// fill brings an empty database to an earlier version and puts a fixture's rows in.
func fill(t *testing.T, url string, version int64, fixture string) {
	t.Helper()
	s, err := models.OpenVersion(t.Context(), url, version)
	require.NoError(t, err)
	f, err := os.Open(fixture)
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, s.InTx(t.Context(), func(tx *models.Tx) error {
		booleans := map[string]bool{}
		if s.Kind() == "postgres" {
			var names []string
			if err := tx.DB.Raw("SELECT table_name || '.' || column_name FROM information_schema.columns WHERE data_type = 'boolean'").Scan(&names).Error; err != nil {
				return err
			}
			for _, n := range names {
				booleans[n] = true
			}
			if err := tx.DB.Exec("SET CONSTRAINTS ALL DEFERRED").Error; err != nil {
				return err
			}
		}
		for _, table := range []string{"yard_state", "logbook_head"} { // rows that the tables begin with
			if err := tx.DB.Exec("DELETE FROM " + table).Error; err != nil {
				return err
			}
		}
		lines := bufio.NewScanner(f)
		for lines.Scan() {
			var l struct {
				Table string
				Row   map[string]any
			}
			d := json.NewDecoder(bytes.NewReader(lines.Bytes()))
			d.UseNumber()
			if err := d.Decode(&l); err != nil {
				return err
			}
			if l.Table == "history" {
				delete(l.Row, "seq") // the database numbers them
			}
			var columns, marks []string
			var values []any
			for k, v := range l.Row {
				columns, marks = append(columns, `"`+k+`"`), append(marks, "?")
				if n, ok := v.(json.Number); ok {
					whole, err := n.Int64()
					if err != nil {
						return err
					}
					v = any(whole)
					if booleans[l.Table+"."+k] {
						v = whole != 0
					}
				}
				values = append(values, v)
			}
			query := "INSERT INTO " + l.Table + " (" + strings.Join(columns, ", ") + ") VALUES (" + strings.Join(marks, ", ") + ")"
			if err := tx.DB.Exec(query, values...).Error; err != nil {
				return err
			}
		}
		return lines.Err()
	}))
	require.NoError(t, s.Close())
}
