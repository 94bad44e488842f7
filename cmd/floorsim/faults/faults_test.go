package faults

import (
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// build makes the program under test, once.
func build(t testing.TB) string {
	t.Helper()
	path, err := built()
	require.NoError(t, err)
	return path
}

var buildDir string

var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "hulltally-built-")
	if err != nil {
		return "", err
	}
	buildDir = dir
	path := filepath.Join(dir, "hulltally")
	out, err := exec.Command("go", "build", "-o", path, "hulltally/cmd/hulltally").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return path, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if buildDir != "" {
		_ = os.RemoveAll(buildDir)
	}
	os.Exit(code)
}

// TestNothingIsLost breaks a yard a few times; the program itself does it
// hundreds of times.
func TestNothingIsLost(t *testing.T) {
	if testing.Short() {
		t.Skip("takes half a minute")
	}
	p := &Program{
		Hulltally: build(t), Dir: roomFor(t), Times: 2, Seed: 11, SQLite: true, Postgres: true, Log: io.Discard,
		Only: []string{"server killed", "power cut, log torn", "primary lost, standby promoted", "disk full"},
	}
	tallies, err := p.Run(t.Context())
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(tallies), 6)
	for _, got := range tallies {
		if got.Skipped != "" {
			t.Logf("%s, %s: skipped: %s", got.Database, got.Fault, got.Skipped)
			continue
		}
		assert.Zero(t, got.Lost+got.Doubled+got.NotAsRebuilt, "%+v", got)
		assert.Empty(t, got.Complaints)
		assert.Positive(t, got.Acknowledged)
	}
}

// roomFor is a folder that another user may enter: PostgreSQL doesn't run as root.
func roomFor(t *testing.T) string {
	dir, err := os.MkdirTemp("", "faults-test-")
	require.NoError(t, err)
	require.NoError(t, os.Chmod(dir, 0o755))
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// TestLossesAreFound: what would be a loss, a doubling or a wrong total is
// counted as one.
func TestLossesAreFound(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a server")
	}
	p := &Program{Hulltally: build(t), Dir: t.TempDir(), Log: io.Discard}
	r, err := p.newRig(t.Context(), kindOf{name: "SQLite", servers: 1}, 5)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, r.down(t.Context())) })
	for r.floor.acknowledged() < 200 {
		r.work(short, long)
	}
	var before Tally
	require.NoError(t, r.check(t.Context(), &before))
	assert.Zero(t, before.Lost+before.Doubled+before.NotAsRebuilt, "%+v", before)

	r.floor.still.Lock()
	store, err := models.Open(t.Context(), r.database)
	require.NoError(t, err)
	require.NoError(t, store.InTx(t.Context(), func(tx *models.Tx) error {
		for _, s := range []string{
			"DELETE FROM reads WHERE id = (SELECT MIN(id) FROM reads)",
			"INSERT INTO reads SELECT 'another id', station, n, at_ms, payload, received_ms, flag, outcome, code, detail FROM reads WHERE id = (SELECT MAX(id) FROM reads)",
			"UPDATE totals SET amount = amount + 1 WHERE hull = (SELECT MAX(hull) FROM totals)",
		} {
			if err := tx.DB.Exec(s).Error; err != nil {
				return err
			}
		}
		return nil
	}))
	require.NoError(t, store.Close())
	r.floor.still.Unlock()
	var after Tally
	require.NoError(t, r.check(t.Context(), &after))
	assert.Equal(t, 1, after.Lost)
	assert.Equal(t, 1, after.Doubled)
	assert.Positive(t, after.NotAsRebuilt)
}

func TestEndOfLog(t *testing.T) {
	for said, want := range map[string]string{
		"pg_waldump: error: error in WAL record at 0/1373FA8: invalid magic number 0000 in log segment 000000010000000000000013, offset 475136": "000000010000000000000013/475136",
		"pg_waldump: error: error in WAL record at 0/15A2F88: invalid record length at 0/15A2FC0: wanted 24, got 0":                             "000000020000000000000015/667584",
		"nothing": "",
	} {
		file, offset, err := endOfLog(said, 2)
		if want == "" {
			require.Error(t, err)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, want, fmt.Sprintf("%s/%d", file, offset))
	}
}

// TestTornLogKeepsWhatIsCommitted: SQLite itself recovers what a torn log holds.
func TestTornLogKeepsWhatIsCommitted(t *testing.T) {
	for seed := range uint64(30) {
		dice := rand.New(rand.NewPCG(seed, 1))
		path := filepath.Join(t.TempDir(), "a.db")
		db, err := sql.Open("sqlite", path)
		require.NoError(t, err)
		db.SetMaxOpenConns(1)
		exec := func(text string) {
			_, err := db.Exec(text)
			require.NoError(t, err)
		}
		exec("PRAGMA journal_mode = WAL")
		exec("PRAGMA wal_autocheckpoint = 0")
		exec("CREATE TABLE t (v TEXT)")
		rows := 3 + dice.IntN(40)
		for i := range rows {
			exec(fmt.Sprintf("INSERT INTO t VALUES ('%0*d')", 1+dice.IntN(3000), i))
		}
		// A copy of the files is what a power cut leaves: nothing was closed.
		copied := filepath.Join(t.TempDir(), "b.db")
		for _, end := range []string{"", "-wal"} {
			text, err := os.ReadFile(path + end)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(copied+end, text, 0o600))
		}
		require.NoError(t, db.Close())
		torn, err := tearSQLite(copied, dice)
		require.NoError(t, err)
		assert.True(t, torn)
		db, err = sql.Open("sqlite", copied)
		require.NoError(t, err)
		var n int
		require.NoError(t, db.QueryRow("SELECT COUNT(*) FROM t").Scan(&n))
		assert.Equal(t, rows, n, "seed %d", seed)
		require.NoError(t, db.Close())
	}
}
