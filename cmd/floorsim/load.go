package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"syscall"
	"time"

	"hulltally/cmd/floorsim/load"
)

type loadFlags struct {
	Program  string        `help:"The hulltally to measure." default:"hulltally" placeholder:"FILE"`
	Database string        `help:"An empty database: sqlite:PATH or postgres://…" required:"" placeholder:"URL"`
	Servers  int           `help:"Servers at the database (SQLite: one)." default:"1"`
	People   int           `help:"People of the yard." default:"500"`
	Shift    time.Duration `help:"Measure a shift start: everybody clocks on within this." xor:"what"`
	Rate     int           `help:"Measure a steady stream of reads a second." xor:"what"`
	For      time.Duration `help:"How long the stream lasts." default:"1m"`
	Months   int           `help:"Record so many months in bulk, then read back." xor:"what"`
	Seed     uint64        `help:"Seed of what is random." default:"1"`
}

// run is 0 when measured, 1 when not, 2 for wrong usage.
func (f *loadFlags) run(out, errs io.Writer) int {
	program, err := exec.LookPath(f.Program)
	if err != nil {
		fmt.Fprintln(errs, "floorsim: name the hulltally to measure with --program:", err)
		return 2
	}
	if f.People < 1 || f.Servers < 1 || f.Shift <= 0 && f.Rate <= 0 && f.Months <= 0 {
		fmt.Fprintln(errs, "floorsim: say what to measure: --shift 2m, --rate 500 or --months 12")
		return 2
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := &load.Program{Hulltally: program, Database: f.Database, Servers: f.Servers, Seed: f.Seed, Out: out}
	switch {
	case f.Months > 0:
		err = p.Bulk(ctx, f.People, f.Months)
	case f.Rate > 0:
		err = p.Steady(ctx, f.People, f.Rate, f.For)
	default:
		err = p.ShiftStart(ctx, f.People, f.Shift)
	}
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 1
	}
	return 0
}
