package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models/conformance"
)

// The commands, and how they end.
func TestBackupCommands(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	dir := t.TempDir()
	file := filepath.Join(dir, "yard.backup")
	said := func(want int, text string, args ...string) {
		t.Helper()
		code, out, says := s.run(args...)
		assert.Equal(t, want, code, says)
		assert.Contains(t, out+says, text)
	}
	said(done, "no backup was ever taken", "check")
	said(done, "SHA-256", "backup", file)
	said(answerIsNo, "is there already", "backup", file)
	said(done, "is whole", "backup", "--verify", file)
	said(done, "the last backup is 0 hours old", "check")
	said(answerIsNo, "is not empty", "restore", file)
	_, report, _ := s.run("report", "cost", "--as", "json", "--at", "2026-03-31T00:00:00Z")

	s.database = "sqlite:" + filepath.Join(dir, "new.db")
	said(done, "seals hold", "restore", file)
	_, again, _ := s.run("report", "cost", "--as", "json", "--at", "2026-03-31T00:00:00Z")
	assert.Equal(t, report, again)
	said(done, "as it is computed", "rebuild", "--check")
	said(done, "", "logbook")
	moved := "sqlite:" + filepath.Join(dir, "moved.db")
	said(done, "moved", "move", moved)
	s.database = moved
	_, again, _ = s.run("report", "cost", "--as", "json", "--at", "2026-03-31T00:00:00Z")
	assert.Equal(t, report, again)

	require.NoError(t, os.Truncate(file, 100))
	said(answerIsNo, "not a whole backup", "backup", "--verify", file)
	said(wrongUsage, "", "backup")
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range left {
		assert.NotEqual(t, '.', rune(e.Name()[0]), "a temporary file is left: %s", e.Name())
	}
}
