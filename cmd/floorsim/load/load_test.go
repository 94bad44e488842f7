package load

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models/conformance"
)

// TestLoad drives a small yard every way; what is recorded in bulk has to be
// as a rebuild makes it, which Bulk checks itself.
func TestLoad(t *testing.T) {
	if testing.Short() {
		t.Skip("starts servers")
	}
	program := filepath.Join(t.TempDir(), "hulltally")
	out, err := exec.Command("go", "build", "-o", program, "hulltally/cmd/hulltally").CombinedOutput()
	require.NoError(t, err, string(out))
	var said bytes.Buffer
	run := func(database string, servers int) *Program {
		return &Program{Hulltally: program, Database: database, Servers: servers, Seed: 1, Out: &said}
	}
	sqlite := func(name string) string { return "sqlite:" + filepath.Join(t.TempDir(), name) }
	require.NoError(t, run(conformance.PostgresURL(t), 2).ShiftStart(t.Context(), 40, 500*time.Millisecond))
	assert.Contains(t, said.String(), "acknowledged 80 reads")
	assert.Contains(t, said.String(), "transactions a read")
	said.Reset()
	require.NoError(t, run(sqlite("steady.db"), 1).Steady(t.Context(), 20, 100, time.Second))
	assert.Contains(t, said.String(), "acknowledged 100 reads")
	assert.Contains(t, said.String(), "sent again: 0")
	said.Reset()
	require.NoError(t, run(sqlite("bulk.db"), 1).Bulk(t.Context(), 5, 1))
	assert.Contains(t, said.String(), "0 differences")
}
