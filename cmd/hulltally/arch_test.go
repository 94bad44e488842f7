package main_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// This table is a statement of policy: who may import whom. A line names a
// directory and what the packages in it and below may import of our own; a
// trailing /... takes in the packages below. What is not here is not allowed.
// Change a line only with a reason beside it.
const ownImports = `
	cmd       cmd/... handlers/... models/... labels/... costing/...
	handlers  handlers/... models/... labels/... costing/...
	models    models/... labels/... costing/...
	labels    labels/... costing
	costing   costing/...
`

// The same for libraries: the only places that may name one. A name that ends
// in a star stands for all files that begin so.
const libraryImports = `
	github.com/gin-gonic/gin     handlers/
	github.com/gin-contrib       handlers/
	gorm.io/driver               models/postgres* models/sqlite*
	gorm.io                      models/
	github.com/libtnb/sqlite     models/sqlite*
	modernc.org/sqlite           models/sqlite*
	github.com/jackc/pgx         models/postgres*
	github.com/pressly/goose     models/
	github.com/alecthomas/kong   cmd/
`

// module is the first part of our own import paths.
const module = "hulltally/"

// TestImportsPointOneWay reads the imports of every source file. Tests and the
// packages that serve them may import what they like.
func TestImportsPointOneWay(t *testing.T) {
	files := 0
	for _, name := range trackedFiles(t) {
		if !strings.HasSuffix(name, ".go") || servesTests(name) {
			continue
		}
		files++
		for _, breach := range importBreaches(name, readFile(t, name)) {
			t.Error(breach)
		}
	}
	if files < 20 {
		t.Errorf("only %d source files were read", files)
	}
}

// servesTests reports whether a file never gets into a program: a test, or a
// file of a package that serves tests.
func servesTests(name string) bool {
	return strings.HasSuffix(name, "_test.go") || testPackage(path.Dir(name))
}

// testPackage reports whether a package serves tests, as its name says: one
// that ends in "test", or the conformance suite of the databases.
func testPackage(dir string) bool {
	return slices.ContainsFunc(strings.Split(dir, "/"), func(part string) bool {
		return strings.HasSuffix(part, "test") || part == "conformance"
	})
}

// importBreaches lists the imports of a source file that the tables don't allow.
func importBreaches(name, src string) []string {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, name, src, parser.ImportsOnly)
	if err != nil {
		return []string{err.Error()}
	}
	var found []string
	for _, spec := range file.Imports {
		imported, _ := strconv.Unquote(spec.Path.Value)
		if why := importBreach(name, imported); why != "" {
			found = append(found, fmt.Sprintf("%s imports %s: %s", set.Position(spec.Pos()), imported, why))
		}
	}
	return found
}

// importBreach says why a file may not import a package, or nothing.
func importBreach(name, imported string) string {
	layer, _, _ := strings.Cut(name, "/")
	own, ours := strings.CutPrefix(imported, module)
	switch {
	case imported == "testing" || strings.HasPrefix(imported, "testing/") || imported == "pgregory.net/rapid",
		ours && testPackage(own):
		return "that serves tests, and has no place in a program"
	case ours:
		if !slices.ContainsFunc(row(ownImports, layer), func(allowed string) bool {
			parent, below := strings.CutSuffix(allowed, "/...")
			return own == parent || below && strings.HasPrefix(own, parent+"/")
		}) {
			return "imports point from cmd to handlers to models to costing"
		}
	default:
		for line := range strings.Lines(libraryImports) {
			fields := strings.Fields(line)
			if len(fields) == 0 || imported != fields[0] && !strings.HasPrefix(imported, fields[0]+"/") {
				continue
			}
			if !slices.ContainsFunc(fields[1:], func(place string) bool { return strings.HasPrefix(name, strings.TrimSuffix(place, "*")) }) {
				return "only " + strings.Join(fields[1:], " and ") + " may name it"
			}
			return "" // the first line that fits decides
		}
	}
	return ""
}

// row is the rest of a table's line that begins with a key.
func row(table, key string) []string {
	for line := range strings.Lines(table) {
		if fields := strings.Fields(line); len(fields) > 0 && fields[0] == key {
			return fields[1:]
		}
	}
	return nil
}

// The checker has to be able to fail.
func TestImportBreachesAreFound(t *testing.T) {
	for _, c := range []struct {
		name, imported string
		allowed        bool
	}{
		{"cmd/hulltally/serve.go", "hulltally/handlers", true},
		{"cmd/hulltally/demo.go", "hulltally/cmd/floorsim/sim", true},
		{"cmd/hulltally/serve.go", "github.com/alecthomas/kong", true},
		{"cmd/hulltally/serve.go", "gorm.io/gorm", false},
		{"cmd/hulltally/serve.go", "github.com/gin-gonic/gin", false},
		{"cmd/hulltally/serve.go", "hulltally/deploy", false},
		{"handlers/margin.go", "hulltally/costing/forecast", true},
		{"handlers/margin.go", "hulltally/models", true},
		{"handlers/margin.go", "hulltally/cmd/floorsim/sim", false},
		{"handlers/margin.go", "hulltally/models/modelstest", false},
		{"handlers/margin.go", "gorm.io/gorm/clause", false},
		{"handlers/margin.go", "testing", false},
		{"handlers/margin.go", "hulltally/models/conformance", false},
		{"handlers/margin.go", "net/http/httptest", true},
		{"models/store.go", "hulltally/labels", true},
		{"models/store.go", "hulltally/handlers", false},
		{"models/store.go", "gorm.io/gorm", true},
		{"models/store.go", "gorm.io/driver/postgres", false},
		{"models/store.go", "github.com/jackc/pgx/v5/pgconn", false},
		{"models/postgres.go", "gorm.io/driver/postgres", true},
		{"models/postgres_intake.go", "github.com/jackc/pgx/v5", true},
		{"models/postgres.go", "modernc.org/sqlite", false},
		{"labels/sheet.go", "hulltally/costing", true},
		{"labels/sheet.go", "hulltally/costing/clock", false},
		{"labels/sheet.go", "hulltally/costingx", false},
		{"labels/sheet.go", "hulltally/models", false},
		{"costing/clock/fold.go", "hulltally/costing", true},
		{"costing/clock/fold.go", "hulltally/labels", false},
	} {
		src := fmt.Sprintf("package x\nimport %q\n", c.imported)
		if found := importBreaches(c.name, src); (len(found) == 0) != c.allowed {
			t.Errorf("%s importing %s: found %q, want it allowed %t", c.name, c.imported, found, c.allowed)
		}
	}
	for name, want := range map[string]bool{
		"models/store.go": false, "models/store_test.go": true, "models/modelstest/open.go": true,
		"costing/costingtest/rig/play.go": true, "models/conformance/run.go": true, "testdata/a.go": false,
	} {
		if servesTests(name) != want {
			t.Errorf("servesTests(%s) = %t", name, !want)
		}
	}
}

// root is the top of the repository, seen from this directory.
const root = "../.."

// trackedFiles lists the files of the repository that git knows or would add,
// with slashes, from the top.
func trackedFiles(t *testing.T) []string {
	t.Helper()
	// The owner of a checkout in a container is often somebody else.
	list := exec.CommandContext(t.Context(), "git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard")
	list.Dir = root
	out, err := list.Output()
	if err != nil {
		t.Fatalf("the files of the repository come from git ls-files: %v", err)
	}
	var names []string
	for name := range strings.SplitSeq(string(out), "\x00") {
		if info, err := os.Lstat(filepath.Join(root, name)); name != "" && err == nil && info.Mode().IsRegular() {
			names = append(names, name)
		}
	}
	return names
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(root, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}
