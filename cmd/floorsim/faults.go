package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"hulltally/cmd/floorsim/faults"
)

type faultsFlags struct {
	Program string   `help:"The hulltally to break." default:"hulltally" placeholder:"FILE"`
	On      string   `help:"Databases: sqlite, postgres or both." enum:"sqlite,postgres,both" default:"both"`
	Times   int      `help:"How often servers are killed, for each kind of database; other faults are fewer." default:"100"`
	Seed    uint64   `help:"Seed of what is random." default:"1"`
	Only    []string `help:"Names of faults, as the table has them; all where none is named." sep:"none" placeholder:"FAULT"`
	Dir     string   `help:"Folder for databases; the disk under it is the one tried." placeholder:"DIR"`
}

// run is 0 where nothing was lost, 1 where something was, 2 where it cannot be tried.
func (f *faultsFlags) run(out, errs io.Writer) int {
	program, err := exec.LookPath(f.Program)
	if err != nil {
		fmt.Fprintln(errs, "floorsim: name the hulltally to break with --program:", err)
		return 2
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := &faults.Program{
		Hulltally: program, Dir: f.Dir, Times: f.Times, Seed: f.Seed,
		SQLite: f.On != "postgres", Postgres: f.On != "sqlite", Log: errs, Only: f.Only,
	}
	tallies, err := p.Run(ctx)
	if printErr := faults.Print(out, tallies); err == nil {
		err = printErr
	}
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 1
	}
	for _, t := range tallies {
		if t.Lost+t.Doubled+t.NotAsRebuilt+len(t.Complaints) > 0 {
			return 1
		}
	}
	return 0
}
