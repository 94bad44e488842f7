package main

import (
	"net/url"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
	"hulltally/models/conformance"
)

// exports are commands that take data out, and what the logbook says of each.
func exports(t *testing.T) map[string]string {
	dir := t.TempDir()
	return map[string]string{
		"report cost --as csv --hull H1":                        "exported report cost as csv, hull H1",
		"report hours --period 2026-03":                         "exported report hours as table, period 2026-03",
		"codes --as csv":                                        "exported codes as csv",
		"dump " + filepath.Join(dir, "out"):                     "exported everything, as yard files to " + filepath.Join(dir, "out"),
		"labels badge 101 --out " + filepath.Join(dir, "a.pdf"): "printed badges 1: 101",
	}
}

// Whoever takes data out by command stands in the logbook; an answer of no is not an export.
func TestExportsAreNoted(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	for command, want := range exports(t) {
		code, _, says := s.run(strings.Fields(command)...)
		require.Equal(t, done, code, says)
		store, err := models.Open(t.Context(), s.database)
		require.NoError(t, err)
		rows, err := store.Logbook(t.Context(), models.LogbookAsk{Limit: 1})
		require.NoError(t, err)
		require.NoError(t, store.Close())
		assert.Equal(t, []string{want, who(), "command line"}, []string{strings.Join([]string{rows[0].Did, rows[0].Subject, rows[0].Detail}, " "), rows[0].Who, rows[0].Source})
	}
	code, _, _ := s.run("report", "cost", "--hull", "H99")
	assert.Equal(t, answerIsNo, code)
	code, out, says := s.run("check")
	assert.Equal(t, done, code, says)
	assert.Contains(t, out, "entries and the changes they made are as they were written")
}

// On a standby nothing can be noted, and the answer is given all the same.
func TestExportsFromReadOnlyDatabase(t *testing.T) {
	address := conformance.PostgresURL(t)
	s := shell{t, address}
	code, _, says := s.run("load", conformance.Tiny())
	require.Equal(t, done, code, says)
	readOnly, err := url.Parse(address)
	require.NoError(t, err)
	q := readOnly.Query()
	q.Set("default_transaction_read_only", "on")
	readOnly.RawQuery = q.Encode()
	s.database = readOnly.String()
	for command := range exports(t) {
		code, out, says := s.run(strings.Fields(command)...)
		assert.Equal(t, done, code, says)
		assert.NotEmpty(t, out)
		assert.Contains(t, says, "read-only here", command)
	}
	code, _, says = s.run("load", conformance.Tiny())
	assert.Equal(t, answerIsNo, code, "loading needs to write")
	assert.NotEmpty(t, says)
}

// Tampering with what a load changed shows in the commands that look for it.
func TestCheckFindsTampering(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	store, err := models.Open(t.Context(), s.database)
	require.NoError(t, err)
	err = store.InTx(t.Context(), func(tx *models.Tx) error {
		return tx.DB.Exec("UPDATE history SET row_after = '{}' WHERE file = 'rates.csv'").Error
	})
	require.NoError(t, err)
	require.NoError(t, store.Close())
	for _, command := range []string{"check", "logbook"} {
		code, _, says := s.run(command)
		assert.Equal(t, answerIsNo, code)
		assert.Contains(t, says, "tampered with", command)
	}
}
