package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

type reportCommand struct {
	Name   string `arg:"" help:"One of ${reports}." enum:"${reports}"`
	Hull   string `help:"Only this hull."`
	Period string `help:"A month such as 2026-03: the figures at its end, or what is dated in it." placeholder:"YYYY-MM"`
	Lot    string `help:"Of a trace: only this lot."`
	Batch  string `help:"Of a trace: only lots of this supplier's batch."`
	At     string `help:"As of this instant (RFC 3339): what had happened by then, as known now." placeholder:"INSTANT"`
	As     string `help:"table, csv, json or xlsx." enum:"table,csv,json,xlsx" default:"table"`
	Out    string `help:"Write the report to this file; a workbook needs one." type:"path" placeholder:"FILE"`
}

// Run prints a report.
func (r *reportCommand) Run(ctx context.Context, c *cli, e env) error {
	ask := handlers.Ask{Hull: r.Hull, Lot: r.Lot, Batch: r.Batch, Now: e.now()}
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
	if r.As == "xlsx" && r.Out == "" {
		return usage("--out", errors.New("a workbook is not printed: name a file for it"))
	}
	return c.withStore(ctx, func(s *models.Store) error {
		t, err := handlers.Report(ctx, s, r.Name, ask)
		if err != nil {
			return err
		}
		if err := noteExport(ctx, s, e, "report "+r.Name, r.asked()); err != nil {
			return err
		}
		if r.Out == "" {
			return t.Write(e.out, r.As, e.now())
		}
		var b bytes.Buffer // whole before the file is touched
		if err := t.Write(&b, r.As, e.now()); err != nil {
			return err
		}
		if err := os.WriteFile(r.Out, b.Bytes(), 0o600); err != nil {
			return fmt.Errorf("the report cannot be written: %w", err)
		}
		fmt.Fprintf(e.out, "%s: %d rows\n", r.Out, len(t.Rows))
		return nil
	})
}

// asked says what was asked for, as the logbook has it.
func (r *reportCommand) asked() string {
	words := []string{"as " + r.As}
	for _, word := range [][2]string{{"hull", r.Hull}, {"period", r.Period}, {"at", r.At}} {
		if word[1] != "" {
			words = append(words, word[0]+" "+word[1])
		}
	}
	return strings.Join(words, ", ")
}

// usageError is a fault of the command line that only the command can see.
type usageError struct{ error }

func usage(flag string, err error) error {
	return usageError{models.Errorf(models.Invalid, "%s: %v", flag, err)}
}
