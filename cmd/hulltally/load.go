package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/user"
	"slices"

	"hulltally/costing"
	"hulltally/models"
)

type loadCommand struct {
	Dir string `arg:"" help:"The folder of the yard files."`
}

// Run loads the yard files.
func (l *loadCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		report, err := s.Load(ctx, l.Dir, models.LoadOptions{
			Now: costing.InstantOf(e.now()), Who: who(), Progress: progressOn(e.err),
		})
		if err != nil {
			return err
		}
		printLoad(e.out, report)
		gaps, err := s.RateGaps(ctx)
		for _, g := range gaps {
			fmt.Fprintf(e.err, "look: worker %s has no rate for %d s worked: costed at nought until rates.csv has one\n", g.Worker, g.Seconds)
		}
		return err
	})
}

func printLoad(w io.Writer, r *models.LoadReport) {
	names := make([]string, 0, len(r.Files))
	for name := range r.Files {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		n := r.Files[name]
		fmt.Fprintf(w, "%-18s %7d new %7d changed %7d as before\n", name, n.Added, n.Changed, n.Unchanged)
	}
	if r.Issued > 0 {
		fmt.Fprintf(w, "%d codes issued: hulltally codes lists them\n", r.Issued)
	}
}

// progressOn shows long work on a terminal, and nothing elsewhere.
func progressOn(w io.Writer) func(step string, done, total int) {
	f, ok := w.(*os.File)
	if !ok {
		return nil
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil
	}
	return func(step string, done, total int) {
		fmt.Fprintf(f, "\r%-10s %d of %d    ", step, done, total)
		if done == total {
			fmt.Fprint(f, "\r\033[K")
		}
	}
}

// who is the user of the machine, for the record of changes.
func who() string {
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return "command line"
}
