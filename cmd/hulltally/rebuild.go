package main

import (
	"context"
	"fmt"

	"hulltally/models"
)

type rebuildCommand struct {
	Check bool `help:"Only compare: exit 1 and a list if anything differs."`
}

// Run computes everything derived anew.
func (r *rebuildCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		if !r.Check {
			if err := s.Rebuild(ctx); err != nil {
				return err
			}
			fmt.Fprintln(e.out, "everything derived was computed anew")
			return nil
		}
		differences, err := s.Check(ctx, progressOn(e.err))
		if err != nil {
			return err
		}
		for _, d := range differences {
			fmt.Fprintln(e.out, d)
		}
		if len(differences) > 0 {
			fmt.Fprintf(e.err, "hulltally: %d differences; rebuild without --check puts them right\n", len(differences))
			return errNo
		}
		fmt.Fprintln(e.out, "everything kept is as it is computed")
		return nil
	})
}
