package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"hulltally/models"
)

// databaseURL is the database asked for, or a file in the user's data folder.
func (c *cli) databaseURL() (string, error) {
	if c.Database != "" {
		return c.Database, nil
	}
	dir, err := dataFolder()
	if err != nil {
		return "", err
	}
	return "sqlite:" + filepath.Join(dir, "hulltally.db"), nil
}

// dataFolder is the user's data folder of this program (XDG base directories).
func dataFolder() (string, error) {
	base := os.Getenv("XDG_DATA_HOME")
	if base == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fmt.Errorf("no home folder for the database; name one with --database sqlite:PATH: %w", err)
		}
		base = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(base, "hulltally"), nil
}

// open opens the database; the caller closes it.
func (c *cli) open(ctx context.Context) (*models.Store, error) {
	url, err := c.databaseURL()
	if err != nil {
		return nil, err
	}
	return models.Open(ctx, url)
}

// withStore runs f with the database open.
func (c *cli) withStore(ctx context.Context, f func(s *models.Store) error) (err error) {
	s, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() {
		if e := s.Close(); err == nil {
			err = e
		}
	}()
	return f(s)
}
