package main

import (
	"context"
	"fmt"

	"hulltally/models"
)

type backupCommand struct {
	File   string `arg:"" help:"The file to write; it must not be there yet." type:"path"`
	Verify bool   `help:"Write nothing: read the file through and say whether it is a whole backup."`
}

// Run takes a backup, or reads one through.
func (b *backupCommand) Run(ctx context.Context, c *cli, e env) error {
	if b.Verify {
		r, _, err := models.VerifyBackup(b.File)
		if err == nil {
			fmt.Fprintf(e.out, "%s is whole: %d rows as of %s, SHA-256 %s\n", b.File, r.Rows, r.Made, r.Digest)
		}
		return err
	}
	return c.withStore(ctx, func(s *models.Store) error {
		r, err := s.Backup(ctx, b.File, byCommand(e))
		if err != nil {
			return err
		}
		if !r.Recorded {
			fmt.Fprintln(e.err, "hulltally: the database is read-only here, so this is not noted in its logbook")
		}
		fmt.Fprintf(e.out, "%s: %d rows, %d bytes, SHA-256 %s\n", b.File, r.Rows, r.Bytes, r.Digest)
		return nil
	})
}

type restoreCommand struct {
	File    string `arg:"" help:"The backup." type:"path"`
	Replace bool   `help:"Lose what the database holds now. Without it only an empty database is filled."`
	Anyway  bool   `help:"Keep what was restored even if it does not verify, to put it right with rebuild."`
}

// Run brings a backup back, all of it or nothing. No server may run meanwhile.
func (r *restoreCommand) Run(ctx context.Context, c *cli, e env) error {
	url, err := c.databaseURL()
	if err != nil {
		return err
	}
	report, err := models.Restore(ctx, url, r.File, byCommand(e),
		models.RestoreOptions{Replace: r.Replace, Anyway: r.Anyway, Progress: progressOn(e.err)})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "restored %d rows as of %s; everything computed anew is as it was kept, and the logbook's seals hold\n", report.Rows, report.Made)
	return nil
}

type moveCommand struct {
	To string `arg:"" help:"The database to move to, of either kind: sqlite:PATH or postgres://…" placeholder:"URL"`
}

// Run copies everything to another database and verifies it there.
func (m *moveCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		r, err := s.MoveTo(ctx, m.To, byCommand(e), progressOn(e.err))
		if err != nil {
			return err
		}
		fmt.Fprintf(e.out, "%d rows of %d tables moved, %d of them by an earlier run; computed anew they are the same\n", r.Rows, r.Tables, r.Already)
		fmt.Fprintln(e.out, "serve the new database from now on; the old one is as it was")
		return nil
	})
}
