package conformance

import (
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// folder is the text of yard files by name.
type folder map[string]string

// with is a copy of the folder with other texts put in; an empty one takes the file away.
func (f folder) with(texts ...string) folder {
	c := maps.Clone(f)
	for i := 0; i < len(texts); i += 2 {
		c[texts[i]] = texts[i+1]
		if texts[i+1] == "" {
			delete(c, texts[i])
		}
	}
	return c
}

// write puts the folder on disk.
func (f folder) write(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range f {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func readFolder(t testing.TB, dir string) folder {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	f := folder{}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		f[e.Name()] = string(text)
	}
	return f
}

// Tiny is the folder of the tiny yard, which uses every file and column.
func Tiny() string {
	_, here, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(here), "..", "..", "testdata", "tiny")
}

// Now is the instant at which the suite loads.
var Now = costing.InstantOf(time.Date(2026, time.March, 10, 9, 0, 0, 0, time.UTC))

func load(t testing.TB, s *models.Store, dir string) *models.LoadReport {
	t.Helper()
	report, err := s.Load(t.Context(), dir, models.LoadOptions{Now: Now, Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

func dump(t testing.TB, s *models.Store) folder {
	t.Helper()
	dir := t.TempDir()
	if err := s.Dump(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	return readFolder(t, dir)
}
