package costing_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// This file is a statement of policy: what the engine may ask of the world.
// Nothing. Change a list here only with a reason beside it.

// pureStd lists the standard packages the engine may import.
var pureStd = []string{
	"cmp", "encoding/json", "errors", "fmt", "iter", "maps", "math", "math/big", "math/bits", "slices", "sort",
	"strconv", "strings", "time", "unicode", "unicode/utf8",
}

// impure lists names of pure packages that ask something of the machine: the
// clock, the zone files, standard output.
var impure = []string{
	"time.Now", "time.Since", "time.Until", "time.After", "time.AfterFunc", "time.Tick", "time.NewTicker",
	"time.NewTimer", "time.Sleep", "time.Local", "time.LoadLocation",
	"fmt.Print", "fmt.Println", "fmt.Printf", "fmt.Scan", "fmt.Scanln", "fmt.Scanf",
}

// floatsAllowed lists the beginnings of the files that may compute in floats:
// a learning curve is a statistic of hours, no amount of money.
var floatsAllowed = []string{"forecast/curve", "forecast/learning"}

// TestEngineIsPure reads every source file of the engine. Packages whose name
// ends in "test" serve tests and are left out.
func TestEngineIsPure(t *testing.T) {
	files := 0
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || strings.HasSuffix(d.Name(), "test")):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		src, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		files++
		for _, breach := range impurities(filepath.ToSlash(name), string(src)) {
			t.Error(breach)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 10 {
		t.Errorf("only %d files were read: is this the engine's directory?", files)
	}
}

// impurities lists what a source file of the engine does that it must not.
func impurities(name, src string) []string {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, name, src, 0)
	if err != nil {
		return []string{err.Error()}
	}
	var found []string
	report := func(pos token.Pos, format string, args ...any) {
		found = append(found, fmt.Sprintf("costing/%s: %s", set.Position(pos), fmt.Sprintf(format, args...)))
	}

	packages := map[string]string{} // by the name the file calls them
	for _, spec := range file.Imports {
		imported, _ := strconv.Unquote(spec.Path.Value)
		called := path.Base(imported)
		if spec.Name != nil {
			called = spec.Name.Name
		}
		packages[called] = imported
		switch {
		case called == "." || called == "_":
			report(spec.Pos(), "imports %s as %q: the engine names what it uses", imported, called)
		case imported != "hulltally/costing" && !strings.HasPrefix(imported, "hulltally/costing/") && !slices.Contains(pureStd, imported):
			report(spec.Pos(), "imports %s: the engine does no input or output", imported)
		case strings.HasSuffix(imported, "test"):
			report(spec.Pos(), "imports %s, which serves tests", imported)
		}
	}

	floats := slices.ContainsFunc(floatsAllowed, func(p string) bool { return strings.HasPrefix(name, p) })
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && packages[x.Name] != "" {
				called := packages[x.Name] + "." + n.Sel.Name
				if slices.Contains(impure, called) {
					report(n.Pos(), "uses %s: the engine asks nothing of the machine", called)
				}
				if !floats && strings.HasPrefix(called, "math.") && !wholeBound(n.Sel.Name) {
					report(n.Pos(), "uses %s: no float touches money or quantity", called)
				}
			}
		case *ast.Ident:
			lower := strings.ToLower(n.Name)
			if !floats && (strings.Contains(strings.ReplaceAll(lower, "afloat", ""), "float") || strings.HasPrefix(lower, "complex")) {
				report(n.Pos(), "uses %s: no float touches money or quantity", n.Name)
			}
		case *ast.BasicLit:
			if !floats && (n.Kind == token.FLOAT || n.Kind == token.IMAG) {
				report(n.Pos(), "writes %s: no float touches money or quantity", n.Value)
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.Ident); ok && (f.Name == "print" || f.Name == "println") {
				report(n.Pos(), "calls %s: the engine does no input or output", f.Name)
			}
		}
		return true
	})
	return found
}

// wholeBound reports whether a name of package math is the bound of a whole-number type.
func wholeBound(name string) bool {
	return strings.HasPrefix(name, "MaxInt") || strings.HasPrefix(name, "MinInt") || strings.HasPrefix(name, "MaxUint")
}

// The checker has to be able to fail.
func TestImpuritiesAreFound(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"a.go", `import "os"; var _ = os.Args`, "imports os"},
		{"a.go", `import "math/rand/v2"`, "imports math/rand/v2"},
		{"a.go", `import "hulltally/models"`, "imports hulltally/models"},
		{"a.go", `import "hulltally/costingx"`, "imports hulltally/costingx"},
		{"a.go", `import "hulltally/costing/costingtest"`, "serves tests"},
		{"a.go", `import . "time"`, `imports time as "."`},
		{"a.go", `import "time"; var _ = time.Now`, "uses time.Now"},
		{"a.go", `import clock "time"; var _ = clock.Since`, "uses time.Since"},
		{"a.go", `import "time"; var _, _ = time.LoadLocation("UTC")`, "uses time.LoadLocation"},
		{"a.go", `import "fmt"; func f() { fmt.Println() }`, "uses fmt.Println"},
		{"a.go", `func f() { println() }`, "calls println"},
		{"a.go", `type a float64`, "uses float64"},
		{"a.go", `var a = 1.5`, "writes 1.5"},
		{"a.go", `var a complex128`, "uses complex128"},
		{"a.go", `import "math"; var a = int64(math.Pow10(2))`, "uses math.Pow10"},
		{"a.go", `import "strconv"; var a, _ = strconv.ParseFloat("1", 64)`, "uses ParseFloat"},
		{"forecast/to_complete.go", `var a float32`, "uses float32"},
		{"forecast/curve.go", `import "time"; var a = time.Now`, "uses time.Now"},
		{"a.go", `func`, "expected"},
	} {
		found := impurities(c.name, "package a\n"+c.src+"\n")
		if len(found) != 1 || !strings.Contains(found[0], c.want) {
			t.Errorf("impurities(%s) = %q, want one with %q", c.src, found, c.want)
		}
	}
	for name, src := range map[string]string{
		"a.go":                 `import ("fmt"; "math"; "time"; "hulltally/costing/clock"); var _ = []any{fmt.Sprint, math.MaxInt64, time.UnixMilli, clock.X}`,
		"forecast/curve.go":    `import "math"; func f(x float64) float64 { return 0.5 * math.Log(x) }`,
		"forecast/learning.go": `var a = 0.8`,
	} {
		if found := impurities(name, "package a\n"+src+"\n"); found != nil {
			t.Errorf("impurities(%s) = %q, want none", src, found)
		}
	}
}
