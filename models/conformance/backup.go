package conformance

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// Backups puts copies of everything to the suite: from each kind of database
// into each. url gives the address of a new database.
func Backups(t *testing.T, url func(t testing.TB) string) {
	t.Run("a backup restores into either kind", func(t *testing.T) { testBackup(t, url(t)) })
	t.Run("a backup while reads come in", func(t *testing.T) { testBackupServing(t, url(t)) })
	t.Run("a restore is whole or nothing", func(t *testing.T) { testRestoreRefused(t, url) })
	t.Run("a move goes on after a cut", func(t *testing.T) { testMove(t, url(t)) })
}

// SQLiteURL is the address of a new embedded database that goes with the test.
func SQLiteURL(t testing.TB) string {
	t.Helper()
	return "sqlite:" + filepath.Join(t.TempDir(), "yard.db")
}

var both = map[string]func(t testing.TB) string{"sqlite": SQLiteURL, "postgres": PostgresURL}

// worked is a yard with people, keys, corrections and some days of reads.
func worked(t *testing.T, url string) *models.Store {
	y := smallYard(t)
	s := open(t, url)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads, 1000)
	addPerson(t, s, "Ada", models.Owner)
	_, err := s.NewLink(t.Context(), "Ada", byTest)
	require.NoError(t, err)
	require.NoError(t, s.SaveSession(t.Context(), "hash", []byte("x"), Now.Time().AddDate(1, 0, 0), Now.Time()))
	return s
}

func sameEverything(t *testing.T, what string, got, want *models.Store) {
	t.Helper()
	sameFolder(t, dump(t, got), dump(t, want))
	sameDerived(t, what, derived(t, got), derived(t, want))
	checked(t, what, got)
	_, err := got.VerifyLogbook(t.Context(), models.Seal{})
	require.NoError(t, err, what)
	assert.Equal(t, history(t, want), history(t, got), what)
	p, err := got.Person(t.Context(), "Ada")
	require.NoError(t, err)
	require.NotNil(t, p, what)
	assert.True(t, models.PasswordFits(somePassword, p.Password))
	_, _, found, err := got.FindSession(t.Context(), "hash", Now.Time())
	require.NoError(t, err)
	assert.False(t, found, "a session lives on in %s", what)
}

// goesOn enters one more fact: numbers that the database gives go on too.
func goesOn(t *testing.T, s *models.Store) {
	t.Helper()
	load(t, s, folder{"crews.csv": "crew,name\nC9,New\n"}.write(t))
	_, err := s.VerifyLogbook(t.Context(), models.Seal{})
	require.NoError(t, err)
}

func testBackup(t *testing.T, url string) {
	s := worked(t, url)
	path := filepath.Join(t.TempDir(), "yard.backup")
	r, err := s.Backup(t.Context(), path, byTest)
	require.NoError(t, err)
	assert.True(t, r.Recorded)
	whole, _, err := models.VerifyBackup(path)
	require.NoError(t, err)
	assert.Equal(t, r.Digest, whole.Digest)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "wages stand in it")
	last, err := s.LastBackup(t.Context())
	require.NoError(t, err)
	assert.Equal(t, r.Digest, last.Digest)
	_, err = s.Backup(t.Context(), path, byTest)
	wantKind(t, "a backup over another", err, models.Conflict)

	for kind, into := range both {
		address := into(t)
		_, err := models.Restore(t.Context(), address, path, byTest, models.RestoreOptions{})
		require.NoError(t, err, kind)
		copied := open(t, address)
		sameEverything(t, kind, copied, s)
		_, err = models.Restore(t.Context(), address, path, byTest, models.RestoreOptions{})
		wantKind(t, "a database that is not empty", err, models.Conflict)
		goesOn(t, copied)
		_, err = models.Restore(t.Context(), address, path, byTest, models.RestoreOptions{Replace: true})
		require.NoError(t, err)
		sameEverything(t, kind+" replaced", copied, s)
		goesOn(t, copied)
	}
}

// testBackupServing: what is backed up is one moment between two commits.
func testBackupServing(t *testing.T, url string) {
	y := smallYard(t)
	s := open(t, url)
	load(t, s, y.yard.write(t))
	half := len(y.reads) / 2
	scan(t, s, y.reads[:half], 1000)
	in := newIntake(t, s)
	var sent atomic.Int64
	var writer sync.WaitGroup
	begun := make(chan bool, 1)
	writer.Go(func() {
		for part := range slices.Chunk(y.reads[half:], 5) {
			if _, err := in.Take(t.Context(), part); err != nil {
				t.Error(err)
				return
			}
			if sent.Add(int64(len(part))) == int64(len(part)) {
				begun <- true
			}
		}
	})
	<-begun
	path := filepath.Join(t.TempDir(), "yard.backup")
	before := sent.Load()
	_, err := s.Backup(t.Context(), path, byTest)
	require.NoError(t, err)
	after := sent.Load()
	writer.Wait()
	address := SQLiteURL(t)
	_, err = models.Restore(t.Context(), address, path, byTest, models.RestoreOptions{})
	require.NoError(t, err, "it verifies, so no commit was torn")
	copied := open(t, address)
	var n int64
	require.NoError(t, copied.Read(t.Context(), func(tx *models.Tx) error { return tx.DB.Table("reads").Count(&n).Error }))
	n -= int64(half)
	assert.True(t, n >= before && n <= after+5, "%d reads are in the backup; %d were sent before it, %d after", n, before, after)
	// The rest, sent again, makes it the same yard.
	more := newIntake(t, copied)
	for part := range slices.Chunk(y.reads[half:], 500) {
		_, err := more.Take(t.Context(), part)
		require.NoError(t, err)
	}
	sameDerived(t, "restored and sent the rest", derived(t, copied), derived(t, s))
	checked(t, "restored and sent the rest", copied)
}

func testRestoreRefused(t *testing.T, url func(t testing.TB) string) {
	s := open(t, url(t))
	load(t, s, Tiny())
	path := filepath.Join(t.TempDir(), "yard.backup")
	_, err := s.Backup(t.Context(), path, byTest)
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	address := url(t)
	empty := func() {
		t.Helper()
		target := open(t, address)
		require.NoError(t, target.Read(t.Context(), func(tx *models.Tx) error {
			assert.Zero(t, tx.Version)
			return nil
		}))
		assert.Empty(t, history(t, target))
	}
	bad := filepath.Join(t.TempDir(), "bad")
	for what, damaged := range map[string][]byte{
		"cut": text[:len(text)/2], "cut at the end": text[:len(text)-9], "empty": nil, "changed": flipped(text), "no backup": []byte("seven brown keels"),
	} {
		require.NoError(t, os.WriteFile(bad, damaged, 0o600))
		_, err := models.Restore(t.Context(), address, bad, byTest, models.RestoreOptions{})
		wantKind(t, what, err, models.Conflict)
	}
	// Cut off in the middle of writing.
	ctx, cancel := context.WithCancel(t.Context())
	_, err = models.Restore(ctx, address, path, byTest, models.RestoreOptions{Progress: func(string, int, int) { cancel() }})
	cancel()
	require.ErrorIs(t, err, context.Canceled)
	empty()
	// What does not verify is not kept, unless somebody says so.
	exec(t, s, "UPDATE history SET who = 'Eve' WHERE seq = 1")
	odd := filepath.Join(t.TempDir(), "odd.backup")
	_, err = s.Backup(t.Context(), odd, byTest)
	require.NoError(t, err)
	_, err = models.Restore(t.Context(), address, odd, byTest, models.RestoreOptions{})
	wantKind(t, "a backup of a logbook that was tampered with", err, models.Conflict)
	empty()
	_, err = models.Restore(t.Context(), address, odd, byTest, models.RestoreOptions{Anyway: true})
	require.NoError(t, err)
}

// flipped is a text with one bit in its middle changed.
func flipped(text []byte) []byte {
	text = slices.Clone(text)
	text[len(text)/2] ^= 1
	return text
}

func testMove(t *testing.T, url string) {
	s := worked(t, url)
	for kind, into := range both {
		if kind == s.Kind() {
			continue
		}
		address := into(t)
		ctx, cancel := context.WithCancel(t.Context())
		tables := 0
		_, err := s.MoveTo(ctx, address, byTest, func(step string, _, _ int) {
			if tables++; step == "rows" && tables == 12 {
				cancel()
			}
		})
		cancel()
		require.ErrorIs(t, err, context.Canceled)
		_, err = models.Open(t.Context(), address)
		wantKind(t, "half a move", err, models.Conflict)
		r, err := s.MoveTo(t.Context(), address, byTest, nil)
		require.NoError(t, err)
		assert.Positive(t, r.Already)
		assert.Greater(t, r.Rows, r.Already)
		copied := open(t, address)
		sameEverything(t, kind, copied, s)
		goesOn(t, copied)
		_, err = s.MoveTo(t.Context(), address, byTest, nil)
		wantKind(t, "moving over a yard", err, models.Conflict)
		// Worked on meanwhile: the next run starts over.
		other := into(t)
		written := false
		_, err = s.MoveTo(t.Context(), other, byTest, func(string, int, int) {
			if !written {
				written = true
				assert.NoError(t, s.Note(t.Context(), byTest, "did", "something", "meanwhile"))
			}
		})
		wantKind(t, "written meanwhile", err, models.Conflict)
		r, err = s.MoveTo(t.Context(), other, byTest, nil)
		require.NoError(t, err)
		assert.Zero(t, r.Already)
		sameEverything(t, kind+" again", open(t, other), s)
	}
}
