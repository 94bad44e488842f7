package models

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"strconv"

	"hulltally/costing"
)

// A backup is a gzipped text of lines, the same from either kind of database:
// a head, then for each table a line that names it and its columns and a line
// for each row, and last a foot with the number of rows and the SHA-256 of
// every byte before it. Whoever has only the file can still read it.

// backupFormat is the first line's mark and the form's version.
const backupFormat = "hulltally backup 1"

type backupHead struct {
	Format     string          `json:"format"`
	Made       costing.Instant `json:"made_ms"`
	Kind       string          `json:"kind"`
	Migrations []int64         `json:"migrations"` // the versions that made the tables
}

type backupFoot struct {
	Rows   int64  `json:"rows"`
	Digest string `json:"sha256"`
}

// backupWriter writes the lines of a backup.
type backupWriter struct {
	out  *bufio.Writer
	sum  hash.Hash
	line []byte
	rows int64
}

func newBackupWriter(w io.Writer) *backupWriter {
	return &backupWriter{out: bufio.NewWriterSize(w, 1<<16), sum: sha256.New()}
}

func (b *backupWriter) json(v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	b.line = append(append(b.line[:0], line...), '\n')
	return b.put()
}

// row writes a row as a JSON array. Numbers are whole, so nothing is rounded.
func (b *backupWriter) row(values []any) error {
	b.line = append(b.line[:0], '[')
	for i, v := range values {
		if i > 0 {
			b.line = append(b.line, ',')
		}
		switch v := v.(type) {
		case string:
			text, err := json.Marshal(v)
			if err != nil {
				return err
			}
			b.line = append(b.line, text...)
		case int64:
			b.line = strconv.AppendInt(b.line, v, 10)
		case bool:
			b.line = strconv.AppendBool(b.line, v)
		default:
			b.line = append(b.line, "null"...)
		}
	}
	b.line = append(b.line, ']', '\n')
	b.rows++
	return b.put()
}

func (b *backupWriter) put() error {
	b.sum.Write(b.line)
	_, err := b.out.Write(b.line)
	return err
}

// foot ends the backup and gives its digest.
func (b *backupWriter) foot() (string, error) {
	digest := hex.EncodeToString(b.sum.Sum(nil))
	if err := b.json(backupFoot{b.rows, digest}); err != nil {
		return "", err
	}
	return digest, b.out.Flush()
}

// backupReader reads the lines of a backup.
type backupReader struct {
	file *os.File
	zip  *gzip.Reader
	in   *bufio.Reader
	sum  hash.Hash
	head backupHead
	rows int64
}

// errDamaged says that a file is no whole backup.
func errDamaged(why string) error {
	return Errorf(Conflict, "the file is not a whole backup (%s): take another copy", why)
}

// longestLine bounds a line of a backup: a worker's fold is the longest.
const longestLine = 64 << 20

func openBackup(path string) (*backupReader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("the backup cannot be read: %w", err)
	}
	r := &backupReader{file: f, sum: sha256.New()}
	if r.zip, err = gzip.NewReader(bufio.NewReaderSize(f, 1<<16)); err != nil {
		return nil, errors.Join(errDamaged("it does not begin like one"), f.Close())
	}
	r.in = bufio.NewReaderSize(r.zip, 1<<16)
	line, err := r.line()
	if err != nil || json.Unmarshal(line, &r.head) != nil || r.head.Format != backupFormat {
		return nil, errors.Join(errDamaged("it does not begin like one"), f.Close())
	}
	r.sum.Write(line)
	return r, nil
}

func (r *backupReader) close() { _ = r.file.Close() }

func (r *backupReader) line() ([]byte, error) {
	var whole []byte
	for {
		part, err := r.in.ReadSlice('\n')
		whole = append(whole, part...)
		switch {
		case err == nil:
			return whole, nil
		case len(whole) > longestLine:
			return nil, errDamaged("a line is too long")
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, errDamaged("it ends too early")
		}
	}
}

// each gives every table and row; a nil f only checks. It ends with an error
// unless the foot is there and fits.
func (r *backupReader) each(table func(t *tableInfo) error, row func(values []any) error) (digest string, err error) {
	var current *tableInfo
	var values []any
	for {
		line, err := r.line()
		if err != nil {
			return "", err
		}
		if bytes.HasPrefix(line, []byte(`{"rows":`)) {
			return r.foot(line)
		}
		r.sum.Write(line)
		if line[0] == '{' {
			current = &tableInfo{}
			if err := json.Unmarshal(line, current); err != nil || current.Name == "" || len(current.Columns) == 0 {
				return "", errDamaged("a table has no name")
			}
			if err := table(current); err != nil {
				return "", err
			}
			continue
		}
		if current == nil {
			return "", errDamaged("a row has no table")
		}
		if values, err = readRow(line, current, values[:0]); err != nil {
			return "", err
		}
		r.rows++
		if err := row(values); err != nil {
			return "", err
		}
	}
}

func (r *backupReader) foot(line []byte) (string, error) {
	digest := hex.EncodeToString(r.sum.Sum(nil))
	var foot backupFoot
	if json.Unmarshal(line, &foot) != nil || foot.Digest != digest || foot.Rows != r.rows {
		return "", errDamaged("its digest does not fit")
	}
	if _, err := r.in.ReadByte(); !errors.Is(err, io.EOF) {
		return "", errDamaged("something follows its end")
	}
	return digest, nil
}

// readRow reads a row's cells as the columns' kinds say.
func readRow(line []byte, t *tableInfo, values []any) ([]any, error) {
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.UseNumber()
	if err := dec.Decode(&values); err != nil || len(values) != len(t.Columns) {
		return nil, errDamaged("a row of " + t.Name + " cannot be read")
	}
	for i, v := range values {
		number, ok := v.(json.Number)
		if !ok {
			continue
		}
		n, err := strconv.ParseInt(number.String(), 10, 64)
		if err != nil {
			return nil, errDamaged("a number of " + t.Name + " cannot be read")
		}
		values[i] = n
	}
	return values, nil
}
