// Package axetest checks pages for accessibility with axe-core, an engine that
// npm fetches into the user's cache. It is used by tests and is no part of the
// program.
package axetest

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha512"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// The engine, and what the registry says of its package.
const (
	axePackage = "axe-core@4.10.3"
	axeFile    = "axe-core-4.10.3.tgz"
	axeSum     = "Xm7bpRXnDSX2YE2YFfBk2FnF0ep6tmG7xPh8iHee8MIcrgq762Nkce856dYtJYLkuIoYZvGfTs/PbZhideTcEg==" // SHA-512
)

// Script gives the engine's script. Where npm is missing the test is skipped,
// but on a machine that sets CI, where it fails.
func Script(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	file := filepath.Join(cache, "hulltally", axeFile)
	if _, err := os.Stat(file); err != nil {
		fetch(t, file)
	}
	packed, err := os.ReadFile(file)
	require.NoError(t, err)
	sum := sha512.Sum512(packed)
	require.Equal(t, axeSum, base64.StdEncoding.EncodeToString(sum[:]), "%s is not what the registry gave: take it away and try again", file)
	plain, err := gzip.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
	for files := tar.NewReader(plain); ; {
		head, err := files.Next()
		require.NoError(t, err, "the package holds no axe.min.js")
		if head.Name == "package/axe.min.js" {
			script, err := io.ReadAll(files)
			require.NoError(t, err)
			return string(script)
		}
	}
}

// fetch has npm put the package beside its place, and moves it there whole.
func fetch(t *testing.T, file string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	into := t.TempDir()
	pack := exec.CommandContext(ctx, "npm", "pack", axePackage, "--silent", "--pack-destination", into)
	pack.Dir = into
	out, err := pack.CombinedOutput()
	if errors.Is(err, exec.ErrNotFound) && os.Getenv("CI") == "" {
		t.Skip("npm is not here: install it to check the pages for accessibility")
	}
	require.NoError(t, err, "npm pack %s: %s", axePackage, out)
	text, err := os.ReadFile(filepath.Join(into, axeFile))
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
	beside := file + "." + filepath.Base(into)
	require.NoError(t, os.WriteFile(beside, text, 0o600))
	require.NoError(t, os.Rename(beside, file))
}

// finding is what the engine holds against a page.
type finding struct {
	ID, Impact, Help string
	Nodes            []string
}

// run checks the page as it stands, by WCAG 2.2 AA. The rows of a table are
// alike: the first twelve stand for all, or large ones take minutes.
const run = `for (const b of document.querySelectorAll("tbody")) for (const r of [...b.rows].slice(12)) r.remove();
axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], resultTypes: ["violations"] })
  .then((r) => JSON.stringify(r.violations.map((v) => ({ ID: v.id, Impact: v.impact ?? "", Help: v.help, Nodes: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 240)) }))))`

// Check fails for every serious or critical finding on the page of a tab.
func Check(t *testing.T, tab context.Context, script, what string) {
	t.Helper()
	for begun := time.Now(); time.Since(begun) < 20*time.Second; time.Sleep(20 * time.Millisecond) {
		// The pages of the floor have their words once their scripts have run.
		settled, err := chromedp.Run(tab, chromedp.Evaluate[bool](`document.readyState === "complete" && document.body.dataset.view !== "start"`))
		if err == nil && settled {
			break
		}
	}
	_, err := chromedp.Run(tab, chromedp.Evaluate[bool](script+"\n;typeof axe === 'object'"))
	require.NoError(t, err, what)
	text, err := chromedp.Run(tab, chromedp.Evaluate[string](run, chromedp.EvalAwaitPromise))
	require.NoError(t, err, what)
	var list []finding
	require.NoError(t, json.Unmarshal([]byte(text), &list))
	for _, f := range list {
		if f.Impact == "serious" || f.Impact == "critical" {
			t.Errorf("%s: %s, %s: %s\n  %s", what, f.Impact, f.ID, f.Help, strings.Join(f.Nodes, "\n  "))
		}
	}
}
