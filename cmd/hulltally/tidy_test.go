package main_test

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// This is a statement of policy: what a file of the repository looks like.
const (
	longestSource = 400 // lines of a Go file that is not a test
	longestLine   = 400 // bytes; longer is made by a machine
)

// topLevel lists all that may stand at the top of the repository, but for
// names that begin with a dot.
var topLevel = []string{
	"cmd", "handlers", "costing", "models", "labels", "testdata", "deploy", "go.mod", "go.sum", "README.md", "DEVELOPERS.md",
}

// binaries lists the files that may hold more than text, each with its reason.
var binaries = map[string]string{}

// unfinished finds the marks of unfinished work. The words are written so that
// this file holds none.
var unfinished = regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|X` + `XX|HA` + `CK)\b`)

// unseen finds characters that look like others or like nothing: no-break and
// zero-width spaces, marks of direction, a byte order mark.
var unseen = regexp.MustCompile("[\u00a0\u200b-\u200f\u2028-\u202e\u2060\ufeff]")

// TestFilesAreTidy reads every file of the repository.
func TestFilesAreTidy(t *testing.T) {
	names := trackedFiles(t)
	if len(names) < 20 {
		t.Fatalf("git names only %d files", len(names))
	}
	for _, name := range names {
		for _, breach := range untidy(name, readFile(t, name)) {
			t.Error(breach)
		}
	}
}

// untidy lists what is wrong with a file's name and text. Test data may hold
// any text, for that may be the test.
func untidy(name, text string) []string {
	var found []string
	report := func(line int, format string, args ...any) {
		found = append(found, fmt.Sprintf("%s:%d: %s", name, line, fmt.Sprintf(format, args...)))
	}
	if top, _, _ := strings.Cut(name, "/"); !strings.HasPrefix(top, ".") && !slices.Contains(topLevel, top) {
		report(1, "%s does not belong at the top of the repository", top)
	}
	if strings.Contains(path.Base(name), ".min.") {
		report(1, "is minified: keep the source")
	}
	if binaries[name] != "" || strings.Contains("/"+name, "/testdata/") && utf8.ValidString(text) && !strings.Contains(text, "\x00") {
		return found
	}
	if strings.Contains(text, "\x00") || !utf8.ValidString(text) {
		report(1, "is binary: say why in the list of binaries, or make it at build time")
		return found
	}

	lines := strings.Split(text, "\n")
	if text != "" && (lines[len(lines)-1] != "" || len(lines) > 1 && lines[len(lines)-2] == "") {
		report(len(lines), "has to end in one line break")
	}
	if n := len(lines) - 1; strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") && n > longestSource {
		report(n, "is longer than %d lines: is there a second idea inside?", longestSource)
	}
	for i, line := range lines {
		switch indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]; {
		case strings.TrimRight(line, " \t\r") != line:
			report(i+1, "ends in a space, a tab or a carriage return")
		case strings.Contains(indent, " \t"):
			report(i+1, "is indented by a space before a tab")
		case unseen.MatchString(line):
			report(i+1, "holds a character that can't be seen")
		case unfinished.MatchString(line):
			report(i+1, "says %s: finish it, or file it where work is filed", unfinished.FindString(line))
		case len(line) > longestLine && !machineMade(name):
			report(i+1, "is %d bytes long", len(line))
		}
	}
	return found
}

// machineMade reports whether a tool writes the file, in its own form.
func machineMade(name string) bool { return path.Base(name) == "go.sum" }

// The checker has to be able to fail.
func TestUntidinessIsFound(t *testing.T) {
	long := strings.Repeat("a\n", longestSource+1)
	for _, c := range []struct{ name, text, want string }{
		{"notes.txt", "a\n", "top of the repository"},
		{"vendor/a/a.go", "package a\n", "top of the repository"},
		{"handlers/static/a.min.js", "a\n", "minified"},
		{"handlers/static/a.js", strings.Repeat("a", longestLine+1) + "\n", "bytes long"},
		{"handlers/static/a.png", "\x89PNG\x00", "binary"},
		{"testdata/a.pdf", "%PDF\x00\xff", "binary"},
		{"models/a.sql", "a\xff\n", "binary"},
		{"models/a.go", long, "longer than"},
		{"models/a.go", "a", "one line break"},
		{"models/a.go", "a\n\n", "one line break"},
		{"models/a.go", "a \n", "a.go:1: ends in a space"},
		{"models/a.go", "b\na\t\n", "a.go:2: ends in a space"},
		{"models/a.go", "a\r\n", "carriage return"},
		{"models/a.go", "\t \ta\n", "space before a tab"},
		{"README.md", "a\u00a0b\n", "can't be seen"},
		{"README.md", "\ufeffa\n", "can't be seen"},
		{"models/a.go", "// TO" + "DO: b\n", "finish it"},
		{"handlers/static/a.css", "/* FIX" + "ME */\n", "finish it"},
	} {
		if found := untidy(c.name, c.text); len(found) != 1 || !strings.Contains(found[0], c.want) {
			t.Errorf("untidy(%s, %.20q) = %q, want one with %q", c.name, c.text, found, c.want)
		}
	}
	for name, text := range map[string]string{
		"models/a.go": "package a\n\n// Method todo is fine.\n\tb\n", "models/a_test.go": long, "testdata/a.csv": "a \r\n\ufeffb",
		".ci/run": "a\n", "models/empty.txt": "", "go.sum": strings.Repeat("a", longestLine+1) + "\n", "handlers/lang/af.json": "{}\n",
	} {
		if found := untidy(name, text); found != nil {
			t.Errorf("untidy(%s, %.20q) = %q, want none", name, text, found)
		}
	}
}
