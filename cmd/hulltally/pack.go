package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

type packCommand struct {
	Period string `arg:"" help:"The month, such as 2026-03." placeholder:"YYYY-MM"`
	Out    string `help:"The folder to write the two files to; it is made." default:"." type:"path"`
}

// Run writes the month-end pack, a PDF and a workbook.
func (k *packCommand) Run(ctx context.Context, c *cli, e env) error {
	p, err := costing.ParsePeriod(k.Period)
	if err != nil {
		return usage("PERIOD", err)
	}
	return c.withStore(ctx, func(s *models.Store) error {
		now := costing.InstantOf(e.now())
		pack, err := handlers.MakePack(ctx, s, p, now, progressOn(e.err))
		if err != nil {
			return err
		}
		if err := os.MkdirAll(k.Out, 0o750); err != nil {
			return fmt.Errorf("the folder for the pack: %w", err)
		}
		for name, write := range map[string]func(io.Writer) error{pack.Name() + ".pdf": pack.WritePDF, pack.Name() + ".xlsx": pack.WriteXLSX} {
			path := filepath.Join(k.Out, name)
			if err := writeTo(path, write); err != nil {
				return fmt.Errorf("writing %s: %w", path, err)
			}
			fmt.Fprintln(e.out, path)
		}
		return s.Note(ctx, models.Deed{Who: who(), Source: "command line", At: now}, "packed", p.String(), "")
	})
}

func writeTo(path string, write func(io.Writer) error) (err error) {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	return write(f)
}
