package main

import (
	"context"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

type reportCommand struct {
	Name   string `arg:"" help:"cost, margin, hours, stock, mass, ties or month." enum:"cost,margin,hours,stock,mass,ties,month"`
	Hull   string `help:"Only this hull."`
	Period string `help:"A month such as 2026-03: the figures at its end, or what is dated in it." placeholder:"YYYY-MM"`
	At     string `help:"As of this instant (RFC 3339): what had happened by then, as known now." placeholder:"INSTANT"`
	As     string `help:"table, csv or json." enum:"table,csv,json" default:"table"`
}

// Run prints a report.
func (r *reportCommand) Run(ctx context.Context, c *cli, e env) error {
	ask := handlers.Ask{Hull: r.Hull, Now: e.now()}
	var err error
	if r.Period != "" {
		if ask.Period, err = costing.ParsePeriod(r.Period); err != nil {
			return usage("--period", err)
		}
	}
	if r.At != "" {
		if ask.At, err = costing.ParseInstant(r.At); err != nil {
			return usage("--at", err)
		}
	}
	return c.withStore(ctx, func(s *models.Store) error {
		t, err := handlers.Report(ctx, s, r.Name, ask)
		if err != nil {
			return err
		}
		return t.Write(e.out, r.As)
	})
}

// usageError is a fault of the command line that only the command can see.
type usageError struct{ error }

func usage(flag string, err error) error {
	return usageError{models.Errorf(models.Invalid, "%s: %v", flag, err)}
}
