package models

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"

	"gorm.io/gorm"

	"hulltally/costing"
)

// LogbookRow is one thing that somebody did. Rows are only ever added. The seal
// covers the row and the seal before it, so a row that is changed, taken out or
// put in between breaks every seal from there on. An entry that changed the
// yard's data bears the digest of those changes too.
type LogbookRow struct {
	Seq     int64 `gorm:"primaryKey"`
	AtMs    costing.Instant
	Who     string
	Did     string
	Subject string
	Detail  string
	Source  string
	Seal    string
	// The changes in the history that the entry made: after RowsFrom, up to RowsTo.
	RowsFrom, RowsTo int64
	RowsDigest       string
}

// TableName implements gorm's Tabler.
func (LogbookRow) TableName() string { return "logbook" }

// sealed is the row's seal after the one before. Lengths stand before texts, so
// that nothing can be moved from one column to the next.
func (r *LogbookRow) sealed(before string) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d:%s|%d|%d", len(before), before, r.Seq, int64(r.AtMs))
	for _, text := range []string{r.Who, r.Did, r.Subject, r.Detail, r.Source} {
		fmt.Fprintf(h, "|%d:%s", len(text), text)
	}
	if r.RowsDigest != "" { // entries from before have none, and keep their seals
		fmt.Fprintf(h, "|%d|%d|%d:%s", r.RowsFrom, r.RowsTo, len(r.RowsDigest), r.RowsDigest)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// lockLogbook makes the transaction the only one that writes in the logbook.
// Changes of people take it first, so that no two wait for each other.
func lockLogbook(db *gorm.DB) error {
	return db.Exec("UPDATE logbook_head SET seq = seq WHERE id = 1").Error
}

const longestNote = 2000

// noted makes text fit to keep: what comes from outside may hold anything.
func noted(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\x00", "\ufffd")
	for len(s) > longestNote {
		_, size := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-size]
	}
	return s
}

// note writes in the logbook within a transaction.
func note(db *gorm.DB, by Deed, did, subject, detail string) error {
	return noteCover(db, by, did, subject, detail, cover{})
}

// noteRows is note for what changed the yard's data: its seal covers the
// history after a row.
func noteRows(db *gorm.DB, by Deed, did, subject, detail string, from int64) error {
	c, err := coverFrom(db, from)
	if err != nil {
		return err
	}
	return noteCover(db, by, did, subject, detail, c)
}

func noteCover(db *gorm.DB, by Deed, did, subject, detail string, c cover) error {
	var head struct {
		Seq  int64
		Seal string
	}
	// The update takes the row, so that writers come one after the other.
	err := db.Raw("UPDATE logbook_head SET seq = seq + 1 WHERE id = 1 RETURNING seq, seal").Scan(&head).Error
	if err != nil {
		return err
	}
	row := &LogbookRow{
		Seq: head.Seq, AtMs: by.At, Who: noted(by.Who), Did: did,
		Subject: noted(subject), Detail: noted(detail), Source: noted(by.Source),
		RowsFrom: c.from, RowsTo: c.to, RowsDigest: c.digest,
	}
	row.Seal = row.sealed(head.Seal)
	if err := db.Create(row).Error; err != nil {
		return err
	}
	return db.Exec("UPDATE logbook_head SET seal = ? WHERE id = 1", row.Seal).Error
}

// Note writes what somebody did in the logbook.
func (s *Store) Note(ctx context.Context, by Deed, did, subject, detail string) error {
	return s.change(ctx, func(db *gorm.DB) error { return note(db, by, did, subject, detail) })
}

// NoteIfWritable is Note, but where nothing can be written (a standby, a copy
// on a read-only disk) it says so and is no error.
func (s *Store) NoteIfWritable(ctx context.Context, by Deed, did, subject, detail string) (noted bool, err error) {
	err = s.Note(ctx, by, did, subject, detail)
	if err != nil && s.dialect.readOnly(err) {
		return false, nil
	}
	return err == nil, err
}

// ReadOnly reports whether an error of the store says that nothing can be
// written here.
func (s *Store) ReadOnly(err error) bool { return err != nil && s.dialect.readOnly(err) }

// LogbookAsk says which entries of the logbook are wanted.
type LogbookAsk struct {
	Words  string // each has to stand somewhere in the entry
	Before int64  // only entries with a lower number; 0: from the newest
	Limit  int
}

// Logbook lists entries, the newest first.
func (s *Store) Logbook(ctx context.Context, ask LogbookAsk) ([]LogbookRow, error) {
	db := s.read.WithContext(ctx).Order("seq DESC").Limit(ask.Limit)
	if ask.Before > 0 {
		db = db.Where("seq < ?", ask.Before)
	}
	for _, word := range strings.Fields(noted(ask.Words)) {
		db = db.Where(`LOWER(who || ' ' || did || ' ' || subject || ' ' || detail || ' ' || source) LIKE ? ESCAPE '\'`,
			likeWord(word))
	}
	var rows []LogbookRow
	err := db.Find(&rows).Error
	return rows, err
}

// likeEscape keeps what a person typed from being a pattern.
var likeEscape = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// likeWord is the pattern of a text that holds a word.
func likeWord(word string) string { return "%" + likeEscape.Replace(asciiLower(word)) + "%" }

// inJSON is how a word stands in JSON text.
func inJSON(word string) string {
	text, _ := json.Marshal(word) // a string always has a JSON form
	return string(text[1 : len(text)-1])
}

// asciiLower is LOWER as both databases have it for text sorted by bytes.
func asciiLower(s string) string {
	return strings.Map(func(r rune) rune {
		if 'A' <= r && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, s)
}

// Seal is the state of the logbook: whoever keeps it elsewhere can tell later
// whether anything up to then was changed.
type Seal struct {
	Seq  int64
	Seal string
}

// VerifyLogbook reckons every seal anew, and holds the history of the yard's
// data against what the entries say of it. It names the first entry that is not
// as it was written, and gives the newest seal. A known earlier seal shows a
// logbook that was rewritten as a whole.
func (s *Store) VerifyLogbook(ctx context.Context, known Seal) (last Seal, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		last, err = tx.VerifyLogbook(known)
		return err
	})
	return last, err
}

// VerifyLogbook is the same within a transaction.
func (tx *Tx) VerifyLogbook(known Seal) (Seal, error) {
	var head, last Seal
	if err := tx.DB.Raw("SELECT seq, seal FROM logbook_head WHERE id = 1").Row().Scan(&head.Seq, &head.Seal); err != nil {
		return Seal{}, err
	}
	rows, err := tx.DB.Model(&LogbookRow{}).Order("seq").Rows()
	if err != nil {
		return Seal{}, err
	}
	defer rows.Close()
	var covers []cover
	for rows.Next() {
		var r LogbookRow
		if err := tx.DB.ScanRows(rows, &r); err != nil {
			return Seal{}, err
		}
		switch {
		case r.Seq != last.Seq+1:
			return Seal{}, Errorf(Conflict, "the logbook lacks entry %d: it was tampered with", last.Seq+1)
		case r.Seal != r.sealed(last.Seal):
			return Seal{}, Errorf(Conflict, "entry %d of the logbook is not as it was written: it was tampered with", r.Seq)
		case r.Seq == known.Seq && r.Seal != known.Seal:
			return Seal{}, Errorf(Conflict, "the logbook up to entry %d is not the one the seal was taken from: it was rewritten", r.Seq)
		}
		if r.RowsDigest != "" {
			covers = append(covers, cover{r.Seq, r.RowsFrom, r.RowsTo, r.RowsDigest})
		}
		last = Seal{r.Seq, r.Seal}
	}
	if err := rows.Err(); err != nil {
		return Seal{}, err
	}
	if last != head || known.Seq > last.Seq {
		return Seal{}, Errorf(Conflict, "the logbook ends at entry %d and not where it should: entries were taken away", last.Seq)
	}
	return last, verifyHistory(tx.DB, covers)
}
