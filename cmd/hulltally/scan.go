package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

type scanCommand struct {
	File string `arg:"" help:"A file of reads (reads.csv), or - for standard input; with --to that may be the lines of a scanner."`
	To   string `help:"The address of a server to send to; what it has not acknowledged is kept on disk." placeholder:"URL"`
	Key  string `help:"The station key for the server." env:"HULLTALLY_KEY"`
	Keep string `help:"Where reads wait for the server (default: in the user's data folder)." placeholder:"DIR"`
}

// Run feeds reads.
func (s *scanCommand) Run(ctx context.Context, c *cli, e env) error {
	if s.To != "" {
		return s.send(ctx, e)
	}
	text, err := s.text(e)
	if err != nil {
		return err
	}
	reads, err := models.ParseReads(text)
	if err != nil {
		return err
	}
	return c.withStore(ctx, func(store *models.Store) error {
		show := progressOn(e.err)
		counts, err := store.Scan(ctx, reads, costing.InstantOf(e.now()), func(done, total int) {
			if show != nil {
				show("reads", done, total)
			}
		})
		printCounts(e.out, len(reads), counts)
		return err
	})
}

func (s *scanCommand) text(e env) ([]byte, error) {
	if s.File == "-" {
		return io.ReadAll(e.in)
	}
	text, err := os.ReadFile(s.File)
	if err != nil {
		return nil, fmt.Errorf("the file of reads cannot be read: %w", err)
	}
	return text, nil
}

func printCounts(w io.Writer, n int, c models.ScanCounts) {
	fmt.Fprintf(w, "reads %d\n", n)
	for _, o := range []clock.Outcome{clock.DidIt, clock.Waiting, clock.Ignored, clock.Refused} {
		fmt.Fprintf(w, "%s %d\n", o, c.Outcomes[o])
	}
	fmt.Fprintf(w, "known before %d\n", c.Known)
}
