package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/handlers/workbook"
	"hulltally/models/conformance"
)

// A workbook goes to a file that is named, never to a terminal.
func TestReportAsWorkbook(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	code, out, said := s.run("report", "margin", "--as", "xlsx")
	assert.Equal(t, wrongUsage, code)
	assert.Empty(t, out)
	assert.Contains(t, said, "name a file")
	file := filepath.Join(t.TempDir(), "margin.xlsx")
	code, out, said = s.run("report", "margin", "--as", "xlsx", "--out", file)
	require.Equal(t, done, code, said)
	assert.Contains(t, out, ": 2 rows")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	sheets, err := workbook.Read(text, workbook.Usual)
	require.NoError(t, err)
	require.Len(t, sheets, 1)
	assert.Equal(t, "hull", sheets[0].Rows[2][0])
	code, _, said = s.run("report", "margin", "--as", "json", "--out", filepath.Join(file, "none"))
	assert.Equal(t, answerIsNo, code)
	assert.Contains(t, said, "cannot be written")
}
