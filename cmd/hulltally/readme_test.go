package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestReadmeCommands runs every command of the README, in its order, as the
// first day of a yard: each has to be done.
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	yard, err := filepath.Abs("../../testdata/tiny")
	require.NoError(t, err)
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.CopyFS("yard", os.DirFS(yard)))
	t.Setenv("HULLTALLY_DATABASE", "sqlite:"+filepath.Join(dir, "yard.db"))
	t.Setenv("HULLTALLY_ADDRESS", "127.0.0.1:0")
	ran := 0
	for line := range strings.Lines(string(text)) {
		command, ok := strings.CutPrefix(line, "    hulltally ")
		if !ok {
			continue
		}
		args := words(strings.TrimSpace(command))
		var out, errs lockedBuffer
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		if args[0] == "serve" { // until it serves, which is what it does
			go func() {
				for ctx.Err() == nil && !strings.Contains(out.String(), "serving on") {
					time.Sleep(5 * time.Millisecond)
				}
				time.Sleep(500 * time.Millisecond) // until it listens
				cancel()
			}()
		}
		code := run(ctx, args, env{strings.NewReader(""), &out, &errs, readmeNow})
		assert.Equal(t, done, code, "hulltally %s\n%s%s", strings.TrimSpace(command), out.String(), errs.String())
		if args[0] == "serve" {
			assert.Contains(t, out.String(), "serving on")
		}
		cancel()
		ran++
	}
	assert.Greater(t, ran, 15)
	for _, file := range []string{"badges.pdf", "jobs.pdf", "lots.pdf", "wall.pdf", "backup-of-today.hulltally"} {
		info, err := os.Stat(file)
		if assert.NoError(t, err) {
			assert.Positive(t, info.Size(), file)
		}
	}
}

// readmeNow is a day on which February 2026 may be closed.
func readmeNow() time.Time { return time.Date(2026, 4, 2, 9, 0, 0, 0, time.UTC) }

// TestReadmeNamesCommandsThereAre: the table of commands is what the program has.
func TestReadmeNamesCommandsThereAre(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	var help bytes.Buffer
	require.Equal(t, done, run(t.Context(), []string{"--help"}, env{strings.NewReader(""), &help, io.Discard, time.Now}))
	_, table, _ := strings.Cut(string(text), "## Commands")
	table, _, _ = strings.Cut(table, "\n## ")
	named := regexp.MustCompile("`([a-z]+)[^`]*`").FindAllStringSubmatch(table, -1)
	require.NotEmpty(t, named)
	for _, row := range strings.Split(table, "\n") {
		if !strings.HasPrefix(row, "| `") {
			continue
		}
		name := regexp.MustCompile("^\\| `([a-z]+)").FindStringSubmatch(row)[1]
		assert.Regexp(t, "(?m)^  "+name+"\\b", help.String(), "the README has a command %s", name)
	}
}

// words splits a command as a shell does, as far as the README goes.
func words(line string) (list []string) {
	for _, m := range regexp.MustCompile(`"([^"]*)"|(\S+)`).FindAllStringSubmatch(line, -1) {
		if m[2] != "" {
			list = append(list, m[2])
		} else {
			list = append(list, m[1])
		}
	}
	return list
}

// lockedBuffer may be read while a command writes.
type lockedBuffer struct {
	mutex sync.Mutex
	b     bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.b.String()
}
