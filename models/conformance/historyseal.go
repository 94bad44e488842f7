package conformance

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// testSealedHistory: whatever is done to the record of changes shows, and a
// name that was removed by the rules does not spoil it.
func testSealedHistory(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	tiny := readFolder(t, Tiny())
	load(t, s, folder{"lots.csv": strings.Replace(tiny["lots.csv"], "400,LTR,2260", "400,LTR,2255", 1)}.write(t))
	load(t, s, folder{"workers.csv": "number,name,grade,crew,shift,signs_off\n101,Ana Married,laminator,C1,day,yes\n"}.write(t))
	var rate, lot, name int64
	for _, h := range history(t, s) {
		switch {
		case h.File == "rates.csv":
			rate = h.Seq
		case h.File == "lots.csv" && h.Before != "":
			lot = h.Seq
		case h.File == "workers.csv" && h.Before != "":
			name = h.Seq
			assert.NotEmpty(t, h.Blind)
		}
	}
	require.True(t, rate > 0 && lot > rate && name > lot)
	honest := func(what string, s *models.Store) {
		t.Helper()
		_, err := s.VerifyLogbook(t.Context(), models.Seal{})
		assert.NoError(t, err, what)
	}
	honest("as written", s)
	tampered := func(statement string, args ...any) {
		t.Helper()
		undo := errors.New("undo")
		err := s.InTx(t.Context(), func(tx *models.Tx) error {
			if err := tx.DB.Exec(statement, args...).Error; err != nil {
				return err
			}
			_, err := tx.VerifyLogbook(models.Seal{})
			wantKind(t, statement, err, models.Conflict)
			return undo
		})
		require.ErrorIs(t, err, undo, statement)
	}
	attacks := func() {
		tampered("UPDATE history SET row_after = REPLACE(row_after, '\"rate\":\"', '\"rate\":\"1') WHERE seq = ?", rate)
		tampered("UPDATE history SET row_before = '' WHERE seq = ?", lot)
		tampered("UPDATE history SET who = 'Eve' WHERE seq = ?", lot)
		tampered("UPDATE history SET at_ms = at_ms - 1 WHERE seq = ?", lot)
		tampered("UPDATE history SET file = 'workers.csv' WHERE seq = ?", lot)
		tampered("UPDATE history SET row_key = 'L9' WHERE seq = ?", lot)
		tampered("DELETE FROM history WHERE seq = ?", lot)
		tampered("DELETE FROM history WHERE seq = 1")
		tampered("DELETE FROM history")
		tampered("UPDATE history SET blind = '' WHERE seq = ?", name)
		tampered("UPDATE history SET row_after = REPLACE(row_after, 'laminator', 'fitter') WHERE seq = ?", name)
		tampered("UPDATE history SET row_after = '{' WHERE seq = ?", name)
		tampered("UPDATE history SET blind = '{\"after.rate\":{\"hash\":\"00\"}}' WHERE seq = ?", rate)
		tampered("INSERT INTO history (at_ms, who, file, row_key, row_before, row_after, blind) SELECT at_ms, who, file, row_key, row_before, row_after, blind FROM history WHERE seq = ?", lot)
		tampered("UPDATE logbook SET rows_digest = '' WHERE rows_to >= ?", lot)
		tampered("UPDATE logbook SET rows_from = 0 WHERE rows_to >= ?", lot)
	}
	attacks()
	tampered("UPDATE history SET row_after = REPLACE(row_after, 'Ana Married', 'Eve') WHERE seq = ?", name)
	// A name that only looks removed.
	tampered("UPDATE history SET row_after = REPLACE(row_after, 'Ana Married', 'Number 101'), blind = REPLACE(blind, 'salt', 'pepper') WHERE seq = ?", name)

	require.NoError(t, s.RemoveName(t.Context(), "101", models.Deed{Who: "owner", At: Now}))
	honest("a name removed", s)
	attacks()
	tampered("UPDATE history SET row_after = REPLACE(row_after, 'Number 101', 'Number 102') WHERE seq = ?", name)
	tampered("UPDATE logbook SET subject = 'worker 102' WHERE did = 'name removed'")
	for _, h := range history(t, s) {
		assert.NotContains(t, h.Before+h.After, "Ana Married")
	}
	// Put in while nobody looked: the next load doesn't answer for it.
	undo := errors.New("undo")
	err := s.InTx(t.Context(), func(tx *models.Tx) error {
		if err := tx.DB.Exec("INSERT INTO history (at_ms, who, file, row_key, row_before, row_after, blind) SELECT at_ms, who, file, row_key, row_before, row_after, blind FROM history WHERE seq = ?", lot).Error; err != nil {
			return err
		}
		_, err := tx.Enter(t.Context(), map[string][]byte{"crews.csv": []byte("crew,name\nC9,New\n")}, models.LoadOptions{Now: Now, Who: "test"})
		if err != nil {
			return err
		}
		_, err = tx.VerifyLogbook(models.Seal{})
		wantKind(t, "a change put in before a load", err, models.Conflict)
		return undo
	})
	require.ErrorIs(t, err, undo)
	load(t, s, folder{"crews.csv": "crew,name\nC9,New\n"}.write(t))
	honest("loaded again", s)
}

// SealedBefore puts a database at an address to the suite that was written
// before seals covered the history.
func SealedBefore(t *testing.T, address string) {
	s, err := models.Open(t.Context(), address)
	require.NoError(t, err)
	load(t, s, Tiny())
	// As it was then: entries without digests, changes without hashes.
	exec(t, s, "DELETE FROM logbook", "UPDATE logbook_head SET seq = 0, seal = '', unsealed = 1", "UPDATE history SET blind = ''")
	require.NoError(t, s.Note(t.Context(), byTest, "loaded", "tiny", "all of it"))
	rows := len(history(t, s))
	require.NoError(t, s.Close())

	for range 2 { // the second time there is nothing to do
		s = open(t, address)
		_, err = s.VerifyLogbook(t.Context(), models.Seal{})
		require.NoError(t, err)
		last := lastNote(t, s)
		assert.Equal(t, int64(2), last.Seq)
		assert.Equal(t, "history sealed", last.Did)
	}
	exec(t, s, "UPDATE history SET who = 'Eve' WHERE seq = 3")
	_, err = s.VerifyLogbook(t.Context(), models.Seal{})
	wantKind(t, "tampering with what is old", err, models.Conflict)
	exec(t, s, "UPDATE history SET who = 'test' WHERE seq = 3")
	require.NoError(t, s.RemoveName(t.Context(), "101", models.Deed{Who: "owner", At: Now}))
	_, err = s.VerifyLogbook(t.Context(), models.Seal{})
	require.NoError(t, err)
	assert.Len(t, history(t, s), rows)
}

// testChangesShown: who may see it finds each change by words, file and entry.
func testChangesShown(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	tiny := readFolder(t, Tiny())
	load(t, s, folder{"lots.csv": strings.Replace(tiny["lots.csv"], "400,LTR,2260", "400,LTR,2255", 1)}.write(t))
	load(t, s, folder{"crews.csv": "crew,name\nC9,Rig & <sail>\n"}.write(t))
	find := func(ask models.ChangesAsk) []models.Change {
		t.Helper()
		ask.Limit = 1000
		list, err := s.Changes(t.Context(), ask)
		require.NoError(t, err)
		return list
	}
	entry := lastNote(t, s).Seq - 1
	of := find(models.ChangesAsk{Entry: entry})
	require.Len(t, of, 1)
	assert.Equal(t, []models.CellChange{{Column: "price", Before: "2260", After: "2255"}}, of[0].Cells)
	assert.False(t, of[0].New)
	assert.Equal(t, entry, of[0].Entry)
	for words, want := range map[string]int{"LOTS.CSV 2255": 1, "2260 2255": 1, "test c9": 1, "rig & <SAIL>": 1, "sail eve": 0, "%": 0, `"`: 0} {
		assert.Len(t, find(models.ChangesAsk{Words: words}), want, words)
	}
	assert.Len(t, find(models.ChangesAsk{}), len(history(t, s)))
	assert.Len(t, find(models.ChangesAsk{File: "crews.csv"}), 3)
	all := find(models.ChangesAsk{})
	assert.Len(t, find(models.ChangesAsk{Before: all[0].Seq}), len(all)-1)
	assert.True(t, all[0].New)
	assert.Equal(t, []models.CellChange{{Column: "crew", After: "C9"}, {Column: "name", After: "Rig & <sail>"}}, all[0].Cells)
}
