package main

import (
	"context"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

type exportCommand struct {
	What   string `arg:"" help:"payroll, journal, valuation, adjustments, overheads, rates, bridge, changes or choices." enum:"payroll,journal,valuation,adjustments,overheads,rates,bridge,changes,choices"`
	Period string `arg:"" help:"The month, such as 2026-03." placeholder:"YYYY-MM"`
	As     string `help:"csv, xlsx, table or json." enum:"table,csv,xlsx,json" default:"csv"`
}

// Run writes a table of a month's end for another program, and notes it.
func (x *exportCommand) Run(ctx context.Context, c *cli, e env) error {
	p, err := costing.ParsePeriod(x.Period)
	if err != nil {
		return usage("PERIOD", err)
	}
	return c.withStore(ctx, func(s *models.Store) error {
		now := costing.InstantOf(e.now())
		t, err := handlers.MonthTable(ctx, s, x.What, p, now)
		if err != nil {
			return err
		}
		if err := t.Write(e.out, x.As, e.now()); err != nil {
			return err
		}
		by := models.Deed{Who: who(), Source: "command line", At: now}
		return s.Note(ctx, by, "exported", handlers.MonthTableSubject(x.What), "csv="+x.What+"&period="+p.String())
	})
}
