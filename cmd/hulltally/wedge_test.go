package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
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

// yardServer takes reads as the API does, once it is up; each id counts once.
type yardServer struct {
	mu       sync.Mutex
	up       bool
	payloads []string
	ids      map[string]bool
}

func (y *yardServer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	y.mu.Lock()
	defer y.mu.Unlock()
	if !y.up {
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	var reads []wireRead
	body, _ := io.ReadAll(r.Body)
	if json.Unmarshal(body, &reads) != nil || r.Header.Get("Authorization") != "Bearer k" || r.Header.Get("Hulltally-Sent") == "" {
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	answers := []sentAnswer{}
	for _, read := range reads {
		if !y.ids[read.ID] {
			y.payloads = append(y.payloads, read.Payload)
		}
		y.ids[read.ID] = true
		answers = append(answers, sentAnswer{read.ID, "done", "Clocked off"})
	}
	_ = json.NewEncoder(w).Encode(answers)
}

// said is output that is read while it is written.
type said struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *said) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *said) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// What is said to be kept is on the disk, whatever the server does, and gets
// there once, in order, also after the program was stopped.
func TestScannerLines(t *testing.T) {
	y := &yardServer{ids: map[string]bool{}}
	server := httptest.NewServer(y)
	defer server.Close()
	keep := t.TempDir()
	listen := func(ctx context.Context, in io.Reader, out io.Writer) int {
		return run(ctx, []string{"scan", "-", "--to", server.URL, "--key", "k", "--keep", keep}, env{in, out, io.Discard, time.Now})
	}
	ctx, stop := context.WithCancel(t.Context())
	in, scanner := io.Pipe()
	var out said
	ended := make(chan int)
	go func() { ended <- listen(ctx, in, &out) }()
	scans := []string{"P3F7K2E2", "J0000019", "12.5MTR", strings.Repeat("x", 2000), "  K000000A\t"}
	for _, s := range scans {
		_, err := io.WriteString(scanner, s+"\r\n")
		require.NoError(t, err)
	}
	require.Eventually(t, func() bool { return strings.Count(out.String(), "kept ") == 4 }, 5*time.Second, time.Millisecond)
	files, err := filepath.Glob(filepath.Join(keep, "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	text, err := os.ReadFile(files[0])
	require.NoError(t, err)
	assert.Equal(t, 4, bytes.Count(text, []byte("\n")), "all that was said to be kept is there")
	stop()
	require.NoError(t, scanner.Close())
	assert.Equal(t, answerIsNo, <-ended)

	// A power cut tore a line that was never said to be kept.
	require.NoError(t, os.WriteFile(files[0], append(text, `{"id":"7`...), 0o600))
	y.mu.Lock()
	y.up = true
	y.mu.Unlock()
	var again said
	assert.Equal(t, done, listen(t.Context(), strings.NewReader("K000000A"), &again), again.String())
	assert.Equal(t, []string{"P3F7K2E2", "J0000019", "12.5MTR", "K000000A", "K000000A"}, y.payloads)
	assert.Contains(t, again.String(), "done 5")
	text, err = os.ReadFile(files[0])
	require.NoError(t, err)
	assert.Empty(t, text)
	for id := range y.ids {
		assert.Regexp(t, regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`), id)
	}

	// Rows of reads.csv are taken as such.
	rows := "\ufeffstation,n,at,payload,id\nGATE,1,2026-03-02T07:00:00Z,P3F7K2E2,6f1c2a34-0b5d-4e6f-8a90-00000000abcd\n"
	assert.Equal(t, done, listen(t.Context(), strings.NewReader(rows), &again), again.String())
	assert.True(t, y.ids["6f1c2a34-0b5d-4e6f-8a90-00000000abcd"])
	assert.Len(t, y.payloads, 6)
	code := run(t.Context(), []string{"scan", "-", "--to", server.URL}, env{strings.NewReader("x"), &again, &again, time.Now})
	assert.Equal(t, wrongUsage, code, "without a key")
}

// FuzzSpool: whatever a spool's file holds, it is read or refused, and what is
// kept afterwards is there again.
func FuzzSpool(f *testing.F) {
	f.Add([]byte(`{"id":"a","n":1,"at":"2026-03-02T07:00:00Z","payload":"x"}` + "\n{"))
	f.Add([]byte("\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, text []byte) {
		dir := t.TempDir()
		s, err := openSpool(dir, "u")
		require.NoError(t, err)
		path := s.path
		s.close()
		require.NoError(t, os.WriteFile(path, text, 0o600))
		if s, err = openSpool(dir, "u"); err != nil {
			return
		}
		left := s.left()
		s.close()
		s, err = openSpool(dir, "u")
		require.NoError(t, err)
		require.Equal(t, left, s.left())
		s.close()
	})
}
