package main

import (
	"context"
	"fmt"

	"hulltally/costing"
	"hulltally/models"
)

type checkCommand struct{}

// Run says whether all is well. What is wrong makes it exit 1; what a person
// should look at is only listed.
func (k *checkCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		h, err := s.Health(ctx, costing.InstantOf(e.now()))
		if err != nil {
			return err
		}
		for _, line := range h.Well {
			fmt.Fprintln(e.out, "well:", line)
		}
		for _, line := range h.Look {
			fmt.Fprintln(e.out, "look:", line)
		}
		for _, line := range h.Wrong {
			fmt.Fprintln(e.err, "wrong:", line)
		}
		if len(h.Wrong) > 0 {
			return errNo
		}
		return nil
	})
}
