package models

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"strings"

	"gorm.io/gorm"

	"hulltally/costing"
)

// blinds are the hashes of a row's personal cells, by "before" or "after" and
// the column. The digest of a load covers them in place of the cells.
type blinds map[string]blind

// blind is one personal cell's hash and the salt it was made with. Once the
// name is removed the salt is gone too, and the hash tells nothing any more.
type blind struct {
	Salt string `json:"salt,omitempty"`
	Hash string `json:"hash"`
}

func newBlind(cell string) blind {
	b := make([]byte, 16)
	_, _ = rand.Read(b) // never fails: the program stops before
	salt := hex.EncodeToString(b)
	return blind{salt, blindHash(salt, cell)}
}

func blindHash(salt, cell string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d:%s|%d:%s", len(salt), salt, len(cell), cell))
	return hex.EncodeToString(sum[:])
}

func (b blinds) text() string {
	if len(b) == 0 {
		return ""
	}
	text, _ := json.Marshal(b) // strings always have a JSON form
	return string(text)
}

// blindsOf hashes the personal cells of a recorded row.
func blindsOf(personal []string, before, after string) (blinds, error) {
	b := blinds{}
	if len(personal) == 0 {
		return b, nil
	}
	for side, row := range map[string]string{"before": before, "after": after} {
		cells, err := cellsIn(row)
		if err != nil {
			return nil, err
		}
		for _, column := range personal {
			if cell, ok := cells[column]; ok {
				b[side+"."+column] = newBlind(cell)
			}
		}
	}
	return b, nil
}

// cellsIn reads a recorded row.
func cellsIn(row string) (map[string]string, error) {
	cells := map[string]string{}
	if row == "" {
		return cells, nil
	}
	err := json.Unmarshal([]byte(row), &cells)
	return cells, err
}

// leaf writes what the digest covers of a row: everything, but of a personal
// cell its hash. removed says whose names were taken out.
func (h *HistoryRow) leaf(into hash.Hash, removed map[string]bool) error {
	before, after := h.Before, h.After
	if h.Blind != "" {
		hidden := blinds{}
		if err := json.Unmarshal([]byte(h.Blind), &hidden); err != nil {
			return err
		}
		var err error
		if before, err = hidden.cover("before", before, removed); err != nil {
			return err
		}
		if after, err = hidden.cover("after", after, removed); err != nil {
			return err
		}
	}
	fmt.Fprintf(into, "|%d|%d", h.Seq, h.AtMs)
	for _, text := range []string{h.Who, h.File, h.RowKey, before, after} {
		fmt.Fprintf(into, "|%d:%s", len(text), text)
	}
	return nil
}

// cover is a recorded row with hashes for its personal cells. A cell has to be
// what its hash was made of, or else a removed name that the logbook tells of.
func (b blinds) cover(side, row string, removed map[string]bool) (string, error) {
	if row == "" {
		return "", nil
	}
	cells, err := cellsIn(row)
	if err != nil {
		return "", err
	}
	for place, hidden := range b {
		column, here := strings.CutPrefix(place, side+".")
		if !here {
			continue
		}
		cell := cells[column]
		if hidden.Salt == "" && !removed[cell] || hidden.Salt != "" && blindHash(hidden.Salt, cell) != hidden.Hash {
			return "", fmt.Errorf("%s is not what was written", column)
		}
		cells[column] = hidden.Hash
	}
	text, err := json.Marshal(cells)
	return string(text), err
}

// lastHistory is the newest row of the history.
func lastHistory(db *gorm.DB) (seq int64, err error) {
	err = db.Raw("SELECT COALESCE(MAX(seq), 0) FROM history").Row().Scan(&seq)
	return seq, err
}

// cover is the part of the history that one entry of the logbook answers for.
type cover struct {
	entry    int64
	from, to int64 // rows after from, up to to
	digest   string
}

// coverFrom reckons the digest of what was recorded after a row.
func coverFrom(db *gorm.DB, from int64) (cover, error) {
	c := cover{from: from}
	var err error
	if c.to, err = lastHistory(db); err != nil || c.to == from {
		return cover{}, err
	}
	removed, err := removedNames(db)
	if err != nil {
		return cover{}, err
	}
	sum := c.begin()
	err = eachHistory(db, from, func(h *HistoryRow) error { return h.leaf(sum, removed) })
	c.digest = hex.EncodeToString(sum.Sum(nil))
	return c, err
}

func (c *cover) begin() hash.Hash {
	h := sha256.New()
	fmt.Fprintf(h, "%d|%d", c.from, c.to)
	return h
}

func eachHistory(db *gorm.DB, from int64, f func(h *HistoryRow) error) error {
	rows, err := db.Raw("SELECT seq, at_ms, who, file, row_key, row_before, row_after, blind FROM history WHERE seq > ? ORDER BY seq", from).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var h HistoryRow
		if err := rows.Scan(&h.Seq, &h.AtMs, &h.Who, &h.File, &h.RowKey, &h.Before, &h.After, &h.Blind); err != nil {
			return err
		}
		if err := f(&h); err != nil {
			return err
		}
	}
	return rows.Err()
}

// removedNames are what stands for the names that the logbook says were removed.
func removedNames(db *gorm.DB) (map[string]bool, error) {
	var subjects []string
	err := db.Model(&LogbookRow{}).Where("did = ?", didRemoveName).Pluck("subject", &subjects).Error
	removed := map[string]bool{}
	for _, s := range subjects {
		if number, ok := strings.CutPrefix(s, "worker "); ok {
			removed[removedName+number] = true
		}
	}
	return removed, err
}

// verifyHistory holds the history against the digests in the logbook.
func verifyHistory(db *gorm.DB, covers []cover) error {
	removed, err := removedNames(db)
	if err != nil {
		return err
	}
	last := int64(0)
	for _, c := range covers {
		if c.from < last || c.to <= c.from {
			return Errorf(Conflict, "entry %d of the logbook answers for changes that are another's: it was tampered with", c.entry)
		}
		last = c.to
	}
	var sum hash.Hash
	finish := func() error {
		c := covers[0]
		if sum == nil {
			sum = c.begin()
		}
		if hex.EncodeToString(sum.Sum(nil)) != c.digest {
			return Errorf(Conflict, "the changes that entry %d of the logbook made are not as they were written: they were tampered with", c.entry)
		}
		covers, sum = covers[1:], nil
		return nil
	}
	err = eachHistory(db, 0, func(h *HistoryRow) error {
		for len(covers) > 0 && h.Seq > covers[0].to {
			if err := finish(); err != nil {
				return err
			}
		}
		if len(covers) == 0 || h.Seq <= covers[0].from {
			return Errorf(Conflict, "change %d, of %s, is in the history but no entry of the logbook made it: it was put in", h.Seq, h.File)
		}
		if sum == nil {
			sum = covers[0].begin()
		}
		if err := h.leaf(sum, removed); err != nil {
			return Errorf(Conflict, "change %d, which entry %d of the logbook made, is not as it was written (%v): it was tampered with",
				h.Seq, covers[0].entry, err)
		}
		return nil
	})
	for err == nil && len(covers) > 0 {
		err = finish()
	}
	return err
}

// sealHistory seals what was recorded before the logbook covered the history,
// once, when the program first opens such a database.
func (s *Store) sealHistory(ctx context.Context, now costing.Instant) error {
	unsealed := func(db *gorm.DB) (flag int, err error) {
		err = db.WithContext(ctx).Raw("SELECT unsealed FROM logbook_head WHERE id = 1").Row().Scan(&flag)
		return flag, err
	}
	if flag, err := unsealed(s.read); err != nil || flag == 0 {
		return err
	}
	return s.InTx(ctx, func(tx *Tx) error {
		if flag, err := unsealed(tx.DB); err != nil || flag == 0 {
			return err
		}
		for _, f := range yardFiles {
			if err := tx.blindOld(f); err != nil {
				return err
			}
		}
		if err := tx.DB.Exec("UPDATE logbook_head SET unsealed = 0 WHERE id = 1").Error; err != nil {
			return err
		}
		by := Deed{Who: "hulltally", Source: "upgrade", At: now}
		return noteRows(tx.DB, by, "history sealed", "changes of the yard's data", "what was recorded before seals covered it", 0)
	})
}

// blindOld hashes the personal cells of one file's rows.
func (tx *Tx) blindOld(f yardFile) error {
	personal := f.personal()
	if len(personal) == 0 {
		return nil
	}
	var rows []HistoryRow
	if err := tx.DB.Find(&rows, "file = ? AND blind = ''", f.name()).Error; err != nil {
		return err
	}
	for _, r := range rows {
		b, err := blindsOf(personal, r.Before, r.After)
		if err != nil {
			return fmt.Errorf("change %d of %s cannot be read: %w", r.Seq, r.File, err)
		}
		if err := tx.DB.Exec("UPDATE history SET blind = ? WHERE seq = ?", b.text(), r.Seq).Error; err != nil {
			return err
		}
	}
	return nil
}
