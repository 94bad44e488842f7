package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"

	"hulltally/models"
)

// wireRead is a read as the API takes it.
type wireRead struct {
	ID      string `json:"id"`
	Station string `json:"station,omitempty"` // blank: the key's own
	N       int64  `json:"n"`
	At      string `json:"at"`
	Payload string `json:"payload"`
}

// spool keeps reads on disk, a line each, until a server has acknowledged
// them. A torn last line, of a read that was never wholly kept, is cut off.
type spool struct {
	path  string
	file  *os.File
	size  int64 // of what is wholly kept
	reads []wireRead
}

// openSpool opens the spool of one server and locks it: two programs that
// emptied it at once would send out of order.
func openSpool(dir, server string) (*spool, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the spool's folder: %w", err)
	}
	sum := sha256.Sum256([]byte(server))
	s := &spool{path: filepath.Join(dir, fmt.Sprintf("reads-%x.jsonl", sum[:6]))}
	var err error
	if s.file, err = os.OpenFile(s.path, os.O_RDWR|os.O_CREATE, 0o600); err != nil {
		return nil, fmt.Errorf("the spool: %w", err)
	}
	if err := syscall.Flock(int(s.file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return nil, errors.Join(fmt.Errorf("the spool %s is in use by another program: let that one finish", s.path), s.file.Close())
	}
	if err := syncFolder(dir); err != nil {
		return nil, errors.Join(fmt.Errorf("the spool's folder: %w", err), s.file.Close())
	}
	if err := s.load(); err != nil {
		return nil, errors.Join(err, s.file.Close())
	}
	return s, nil
}

func (s *spool) load() error {
	in := bufio.NewReader(s.file)
	var good int64
	for {
		line, err := in.ReadBytes('\n')
		if err != nil {
			break // the end, or a torn line
		}
		var r wireRead
		if json.Unmarshal(line, &r) != nil {
			return fmt.Errorf("the spool %s is damaged after %d bytes: keep a copy and ask for help", s.path, good)
		}
		s.reads = append(s.reads, r)
		good += int64(len(line))
	}
	if err := s.file.Truncate(good); err != nil {
		return err
	}
	s.size = good
	_, err := s.file.Seek(good, 0)
	return err
}

func (s *spool) left() int { return len(s.reads) }

func (s *spool) next(n int) []wireRead { return s.reads[:min(n, len(s.reads))] }

// add puts reads behind those kept, and returns once they are on the disk.
func (s *spool) add(reads []models.ReadRow) error {
	var b bytes.Buffer
	var added []wireRead
	for i := range reads {
		r := &reads[i]
		w := wireRead{r.ID, r.Station, r.N, r.At.String(), r.Payload}
		line, err := json.Marshal(w)
		if err != nil {
			return err
		}
		b.Write(append(line, '\n'))
		added = append(added, w)
	}
	_, err := s.file.Write(b.Bytes())
	if err == nil {
		err = s.file.Sync()
	}
	if err != nil { // a full disk: what came next would be joined to a torn line
		_ = s.file.Truncate(s.size)
		_, _ = s.file.Seek(s.size, 0)
		return fmt.Errorf("keeping reads in %s: %w", s.path, err)
	}
	s.size += int64(b.Len())
	s.reads = append(s.reads, added...)
	return nil
}

// acknowledge takes the first n off. The file is cut once all are sent; reads sent
// again after a crash do no harm, since their ids are known.
func (s *spool) acknowledge(n int) error {
	s.reads = s.reads[n:]
	if len(s.reads) == 0 {
		if err := s.file.Truncate(0); err != nil {
			return err
		}
		s.size = 0
		if _, err := s.file.Seek(0, 0); err != nil {
			return err
		}
		return s.file.Sync()
	}
	return nil
}

// syncFolder brings a folder's names onto the disk.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

func (s *spool) close() { _ = s.file.Close() }
