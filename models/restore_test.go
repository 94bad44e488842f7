package models

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A backup of earlier tables is restored with those, and then brought up to date.
func TestRestoreOfEarlierTables(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(t.Context(), "sqlite:"+filepath.Join(dir, "old.db"))
	require.NoError(t, err)
	_, err = s.Load(t.Context(), filepath.Join("..", "testdata", "tiny"), LoadOptions{Now: 1, Who: "test"})
	require.NoError(t, err)
	require.NoError(t, s.InTx(t.Context(), func(tx *Tx) error { // as it was then
		for _, statement := range []string{"DELETE FROM logbook", "UPDATE logbook_head SET seq = 0, seal = ''", "UPDATE history SET blind = ''"} {
			if err := tx.DB.Exec(statement).Error; err != nil {
				return err
			}
		}
		return nil
	}))
	const earlier = 4
	_, err = s.migrations.DownTo(t.Context(), earlier)
	require.NoError(t, err)
	path := filepath.Join(dir, "old.backup")
	_, err = s.Backup(t.Context(), path, Deed{Who: "test"})
	require.ErrorContains(t, err, "the backup is written", "there was no table to note it in")
	require.NoError(t, s.Close())

	address := "sqlite:" + filepath.Join(dir, "new.db")
	_, err = Restore(t.Context(), address, path, Deed{Who: "test"}, RestoreOptions{})
	require.NoError(t, err)
	s, err = Open(t.Context(), address)
	require.NoError(t, err)
	current, latest, err := s.MigrationVersion(t.Context())
	require.NoError(t, err)
	assert.Equal(t, latest, current)
	_, err = s.VerifyLogbook(t.Context(), Seal{})
	require.NoError(t, err)
	differences, err := s.Check(t.Context(), nil)
	require.NoError(t, err)
	assert.Empty(t, differences)
	require.NoError(t, s.Close())

	// One of a program to come is refused.
	versions := s.knownVersions()
	err = s.tablesOf(t.Context(), append(versions, 99_999), false)
	require.ErrorContains(t, err, "newer program")
}
