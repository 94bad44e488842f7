package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"hulltally/models/conformance"
)

// shell runs commands on one database.
type shell struct {
	t        *testing.T
	database string
}

func newShell(t *testing.T, dir string) shell {
	s := shell{t, "sqlite:" + filepath.Join(t.TempDir(), "yard.db")}
	if code, _, err := s.run("load", dir); code != done {
		t.Fatal(err)
	}
	return s
}

func (s shell) run(args ...string) (code int, out, err string) {
	s.t.Helper()
	var o, e bytes.Buffer
	code = run(s.t.Context(), append([]string{"--database", s.database}, args...), env{strings.NewReader(""), &o, &e, time.Now})
	return code, o.String(), e.String()
}

func TestLabelsCommand(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	pdf := filepath.Join(t.TempDir(), "out.pdf")
	for _, c := range []struct {
		args string
		code int
		want string
	}{
		{"badge", done, "1 page"},
		{"badge --page single --copies 2", done, "6 pages"},
		{"job --hull H1 --stage LAM --outline --dpi 203", done, "1 page"},
		{"stage --hull H1 --stage LAM", done, "2 pages"},
		{"lot L2 --small --start 3", done, "1 page"},
		{"lot --grid 2x5 --grid-at 5,13.5 --step 100,54", done, "1 page"},
		{"wall --page a3 --words de,pl", done, "3 pages"},
		{"badge --start 11", answerIsNo, "the sheet has cells 1 to 10, not 11"},
		{"job J99", answerIsNo, "there is no job J99 to print"},
		{"job --hull H9", answerIsNo, "nothing is selected: there is no job to print of hull H9"},
		{"badge --text nobody", answerIsNo, "nothing is selected"},
		{"badge --dpi 72", answerIsNo, "72"},
		{"job --grid 3x3", wrongUsage, "the grid is bigger than the page"},
		{"job --grid many", wrongUsage, "not columns by rows"},
		{"job --grid 1x1 --page single", wrongUsage, "a grid needs a page"},
		{"poster", wrongUsage, "poster"},
		{"wall --words xx", answerIsNo, "no words in"},
	} {
		_ = os.Remove(pdf)
		code, out, err := s.run(append([]string{"labels", "--out", pdf}, strings.Fields(c.args)...)...)
		if code != c.code || !strings.Contains(out+err, c.want) {
			t.Errorf("labels %s gave %d %s%s, want %d %q", c.args, code, out, err, c.code, c.want)
		}
		if _, err := os.Stat(pdf); (err == nil) != (c.code == done) {
			t.Errorf("labels %s: %v", c.args, err)
		}
	}
}

// Names that can't be printed, or that nobody gave.
func TestLabelsOfOddNames(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(conformance.Tiny())); err != nil {
		t.Fatal(err)
	}
	replace := func(file, old, with string) {
		t.Helper()
		text, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil || !strings.Contains(string(text), old) {
			t.Fatalf("%s has no %s: %v", file, old, err)
		}
		if err := os.WriteFile(filepath.Join(dir, file), []byte(strings.Replace(string(text), old, with, 1)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	replace("workers.csv", "Tomé Arrais", "𒀀𒁀")
	replace("jobs.csv", "hull shell", strings.Repeat("a long bulkhead ", 19)[:300])
	s := newShell(t, dir)
	pdf := filepath.Join(t.TempDir(), "out.pdf")
	if code, _, err := s.run("labels", "badge", "102", "--out", pdf); code != answerIsNo || !strings.Contains(err, "no font holds") || !strings.Contains(err, "fonts folder") {
		t.Errorf("a script without font gave %d %s", code, err)
	}
	if code, out, err := s.run("labels", "job", "J1", "--out", pdf); code != done {
		t.Errorf("a part of 300 characters gave %d %s%s", code, out, err)
	}
	replace("workers.csv", "Ilse Varnholt", "")
	if code, _, err := s.run("load", dir); code != answerIsNo || !strings.Contains(err, "name") {
		t.Errorf("an empty name gave %d %s", code, err)
	}
}

func TestCodesRevoke(t *testing.T) {
	s := newShell(t, conformance.Tiny())
	pdf := filepath.Join(t.TempDir(), "out.pdf")
	for _, c := range []struct {
		args string
		code int
		want string
	}{
		{"codes --issue", wrongUsage, "--revoke"},
		{"codes --revoke P3F7K2E3", answerIsNo, "check character"},
		{"codes --revoke P3F7K2E2 --issue", done, "the code P3F7K2E2 of worker Ilse Varnholt is no longer valid; the new one is P"},
		{"codes --revoke P3F7K2E2", answerIsNo, "has a new one"},
		{"codes --revoke J0000019", done, "the code J0000019 of job J1 is no longer valid\n"},
		{"labels job J1 --out " + pdf, answerIsNo, "job J1 has no valid code"},
		{"labels job --out " + pdf, done, "left out, for their code was revoked: J1"},
		{"codes --revoke J0000019 --issue", done, "the new one is J"},
		{"labels job J1 --out " + pdf, done, "1 page"},
	} {
		if code, out, err := s.run(strings.Fields(c.args)...); code != c.code || !strings.Contains(out+err, c.want) {
			t.Errorf("%s gave %d %s%s, want %d %q", c.args, code, out, err, c.code, c.want)
		}
	}
	if _, out, _ := s.run("codes", "--as", "csv"); strings.Contains(out, "P3F7K2E2") || strings.Contains(out, "J0000019") {
		t.Errorf("revoked codes are listed: %s", out)
	}
}
