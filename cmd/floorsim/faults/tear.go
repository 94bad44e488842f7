package faults

import (
	"encoding/binary"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
)

// Sizes of the write-ahead log of SQLite, from its file format
// (sqlite.org/fileformat2.html, "The Write-Ahead Log").
const (
	walHeader   = 32
	frameHeader = 24
)

// tearSQLite makes the end of a log as a power cut may leave it: what follows
// the last commit was never flushed, so it may be cut off anywhere, or be
// garbage that looks like the beginning of another frame. What is committed
// stays. It reports whether there was anything to tear.
func tearSQLite(database string, dice *rand.Rand) (bool, error) {
	path := database + "-wal"
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(text) < walHeader {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	end := committed(text)
	if dice.IntN(2) == 0 && len(text) > end {
		return true, os.Truncate(path, int64(end+dice.IntN(len(text)-end+1)))
	}
	frame := make([]byte, frameHeader+int(binary.BigEndian.Uint32(text[8:])))
	for i := range frame {
		frame[i] = byte(dice.Uint32())
	}
	copy(frame[8:16], text[16:24])                        // the salts of this log
	binary.BigEndian.PutUint32(frame, 1+dice.Uint32N(50)) // a page that exists
	torn := append(text[:end:end], frame[:1+dice.IntN(len(frame))]...)
	return true, os.WriteFile(path, torn, 0o600)
}

// committed is where the last committed frame of a log ends.
func committed(text []byte) int {
	page := int(binary.BigEndian.Uint32(text[8:]))
	end := walHeader
	for at := walHeader; at+frameHeader+page <= len(text); at += frameHeader + page {
		if string(text[at+8:at+16]) != string(text[16:24]) { // a frame of an earlier log
			break
		}
		if binary.BigEndian.Uint32(text[at+4:]) != 0 { // the size of the database after a commit
			end = at + frameHeader + page
		}
	}
	return end
}
