package load

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"time"

	"hulltally/models"
	"hulltally/models/bare"
)

// Limits are what the machine can do at most, measured in the same run.
type Limits struct {
	Flushes float64 // of the disk, a second
	Bare    float64 // rows of so many reads written a second, nothing computed
	Stream  float64 // rows read out a second
}

// measuredFor is how long each limit is measured.
const measuredFor = 2 * time.Second

// groupSize is how many reads share a transaction of the bare writer.
const groupSize = 64

func measureLimits(ctx context.Context, store *models.Store, folder string) (l Limits, err error) {
	if l.Flushes, err = flushes(folder); err != nil {
		return l, err
	}
	began, n := time.Now(), 0
	for k := 0; time.Since(began) < measuredFor; k++ {
		if err := bare.Write(ctx, store, groupSize, 2*groupSize*k); err != nil {
			return l, err
		}
		n += groupSize
	}
	l.Bare = float64(n) / time.Since(began).Seconds()
	began = time.Now()
	rows, err := store.StreamOut(ctx)
	l.Stream = float64(rows) / time.Since(began).Seconds()
	return l, err
}

// flushes appends blocks to a file, each flushed to the disk.
func flushes(folder string) (float64, error) {
	f, err := os.CreateTemp(folder, "flush-")
	if err != nil {
		return 0, err
	}
	block := make([]byte, 4096)
	began, n := time.Now(), 0
	for time.Since(began) < measuredFor {
		if _, err = f.Write(block); err == nil {
			err = f.Sync()
		}
		if err != nil {
			break
		}
		n++
	}
	return float64(n) / time.Since(began).Seconds(), errors.Join(err, f.Close(), os.Remove(f.Name()))
}

// folderOf is the folder of a database's disk, as far as we can tell.
func folderOf(database string) string {
	if path, ok := strings.CutPrefix(database, "sqlite:"); ok {
		return filepath.Dir(path)
	}
	return os.TempDir()
}

// bytesOf is how much room the database takes.
func bytesOf(ctx context.Context, store *models.Store, database string) (n int64, err error) {
	if path, ok := strings.CutPrefix(database, "sqlite:"); ok {
		for _, end := range []string{"", "-wal"} {
			if info, err := os.Stat(path + end); err == nil {
				n += info.Size()
			}
		}
		return n, nil
	}
	err = store.Read(ctx, func(tx *models.Tx) error {
		return tx.DB.Raw("SELECT pg_database_size(current_database())").Row().Scan(&n)
	})
	return n, err
}
