package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"hulltally/models"
)

type logbookCommand struct {
	Seal string `help:"A seal kept from before (as it was printed), to hold the logbook against." placeholder:"N:SEAL"`
}

// Run checks every seal of the logbook and prints the newest.
func (l *logbookCommand) Run(ctx context.Context, c *cli, e env) error {
	var known models.Seal
	if l.Seal != "" {
		seq, seal, ok := strings.Cut(l.Seal, ":")
		n, err := strconv.ParseInt(seq, 10, 64)
		if !ok || err != nil {
			return usage("--seal", fmt.Errorf("%q is not a number and a seal, such as 12:0f3a", l.Seal))
		}
		known = models.Seal{Seq: n, Seal: seal}
	}
	return c.withStore(ctx, func(s *models.Store) error {
		last, err := s.VerifyLogbook(ctx, known)
		if err == nil {
			fmt.Fprintf(e.out, "%d:%s\n", last.Seq, last.Seal)
		}
		return err
	})
}
