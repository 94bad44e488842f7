package main

import (
	"context"
	"fmt"

	"hulltally/models"
)

type dumpCommand struct {
	Dir string `arg:"" help:"The folder to write to; it is made."`
}

// Run writes the yard files.
func (d *dumpCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		if err := noteExport(ctx, s, e, "everything, as yard files", "to "+d.Dir); err != nil {
			return err
		}
		if err := s.Dump(ctx, d.Dir); err != nil {
			return err
		}
		fmt.Fprintln(e.out, "written to", d.Dir)
		return nil
	})
}
