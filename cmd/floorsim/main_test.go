package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestRun: a small yard is written, wrong usage exits 2, a folder that cannot
// be made exits 1.
func TestRun(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		want int
	}{
		{"--out " + filepath.Join(dir, "yard") + " --truth " + filepath.Join(dir, "truth.csv") + " --months 1 --people 9", 0},
		{"--months 1", 2},
		{"--out x --start yesterday", 2},
		{"--out x --people 0", 2},
		{"--out " + filepath.Join(file, "below") + " --months 1 --people 2", 1},
	} {
		var out, errs bytes.Buffer
		if got := run(strings.Fields(c.args), &out, &errs); got != c.want {
			t.Errorf("floorsim %s = %d, want %d: %s", c.args, got, c.want, errs.String())
		}
	}
	if text, err := os.ReadFile(filepath.Join(dir, "truth.csv")); err != nil || !bytes.Contains(text, []byte("work,")) {
		t.Errorf("truth.csv holds no work: %v", err)
	}
}
