// Command floorsim simulates a yard: it writes its files and what really
// happened there (the same flags write the same bytes), and breaks a running
// Hulltally on purpose to count what is lost.
package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"github.com/alecthomas/kong"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
)

type cli struct {
	Yard   flags       `cmd:"" default:"withargs" help:"Write the files of a simulated yard (the default)."`
	Load   loadFlags   `cmd:"" help:"Drive a Hulltally as stations do and measure it."`
	Faults faultsFlags `cmd:"" help:"Break a running Hulltally on purpose and count what is lost."`
	Stock  stockFlags  `cmd:"" help:"Hold a yard's stock books against what really happened, before and after counts."`
}

type flags struct {
	Out    string `help:"Folder to write the yard files, codes.csv and reads.csv to." required:"" placeholder:"DIR"`
	Truth  string `help:"File to write what really happened to (CSV)." placeholder:"FILE"`
	Seed   uint64 `help:"Seed: the same seed gives the same yard." default:"1"`
	Start  string `help:"First day." default:"2026-05-04" placeholder:"DATE"`
	Months int    `help:"Months to simulate." default:"6"`
	People int    `help:"People on the floor." default:"42"`
	Hulls  int    `help:"Hulls; 0 is as many as keep the people busy." default:"0"`
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is main without the process: 0 done, 1 not written or something lost, 2 wrong usage.
func run(args []string, out, errs io.Writer) int {
	var c cli
	exit := -1
	parser, err := kong.New(&c, kong.Name("floorsim"), kong.Description("A simulated yard: months of reads with the truth they came from."),
		kong.Writers(out, errs), kong.Exit(func(code int) { exit = code }))
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 2
	}
	parsed, err := parser.Parse(args)
	if exit >= 0 { // --help
		return exit
	}
	if err == nil {
		switch parsed.Command() {
		case "faults":
			return c.Faults.run(out, errs)
		case "load":
			return c.Load.run(out, errs)
		case "stock <database>":
			return c.Stock.run(out, errs)
		}
	}
	cfg := sim.Default()
	if err == nil {
		err = c.Yard.apply(&cfg)
	}
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 2
	}
	return write(cfg, c.Yard, out, errs)
}

// apply takes the flags over and refuses what makes no yard.
func (f flags) apply(cfg *sim.Config) (err error) {
	if cfg.Start, err = costing.ParseDate(f.Start); err != nil {
		return fmt.Errorf("--start: %w", err)
	}
	if f.Months < 1 || f.People < 1 || f.Hulls < 0 {
		return fmt.Errorf("--months and --people must be at least 1, --hulls at least 0")
	}
	cfg.Seed, cfg.Months, cfg.People, cfg.Hulls = f.Seed, f.Months, f.People, f.Hulls
	return nil
}

func write(cfg sim.Config, f flags, out, errs io.Writer) int {
	begun := time.Now()
	w := sim.Generate(cfg)
	err := w.WriteYard(f.Out)
	if err == nil && f.Truth != "" {
		err = w.WriteTruth(f.Truth)
	}
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 1
	}
	fmt.Fprintf(out, "%s: %d people, %d hulls, %d jobs, %d lots, %s to %s, in %s\n", f.Out, len(w.Workers), len(w.Hulls), len(w.Jobs), len(w.Lots),
		cfg.Start, cfg.End(), time.Since(begun).Round(time.Millisecond))
	return 0
}
