package models

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Dump writes every yard file to a folder, as of one moment. Loaded into an
// empty database they give the same yard, its printed codes and its reads.
func (s *Store) Dump(ctx context.Context, dir string) error {
	if err := os.MkdirAll(dir, 0o750); err != nil {
		return fmt.Errorf("the folder to write to: %w", err)
	}
	return s.Read(ctx, func(tx *Tx) error {
		for _, f := range yardFiles {
			if err := writeFile(filepath.Join(dir, f.name()), func(w io.Writer) error {
				return f.dump(ctx, tx, w)
			}); err != nil {
				return fmt.Errorf("writing %s: %w", f.name(), err)
			}
		}
		if err := tx.dumpFrozen(ctx, dir); err != nil {
			return err
		}
		return writeFile(filepath.Join(dir, readsFile.name()), func(w io.Writer) error {
			out, err := readsFile.newWriter(w)
			if err != nil {
				return err
			}
			if err := tx.eachRead(func(r ReadRow) error { return out.write(&r) }); err != nil {
				return err
			}
			return out.close()
		})
	})
}

// dump writes the file's table.
func (f *file[R]) dump(ctx context.Context, tx *Tx, w io.Writer) error {
	out, err := f.newWriter(w)
	if err != nil {
		return err
	}
	if err := each(ctx, tx, f, out.write); err != nil {
		return err
	}
	return out.close()
}

func writeFile(path string, write func(io.Writer) error) (err error) {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	w := bufio.NewWriter(f)
	if err := write(w); err != nil {
		return err
	}
	return w.Flush()
}
