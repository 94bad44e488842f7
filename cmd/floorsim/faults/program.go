package faults

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"
)

// Program is a run of faults.
type Program struct {
	Hulltally string // the program under test
	Dir       string // where databases are made; empty: the machine's folder for such
	Times     int    // how often servers are killed, for each kind of database; other faults are fewer
	Seed      uint64
	SQLite    bool
	Postgres  bool
	Only      []string  // names of faults; empty: all
	Log       io.Writer // what happens, as it happens
}

// few is how many reads a yard may have left before another is set up.
const few = 2000

// Run injects the faults and gives what came of them. The error says that the
// program could not be run; what the faults did is in the tallies.
func (p *Program) Run(ctx context.Context) ([]Tally, error) {
	var tallies []Tally
	plan := []struct {
		wanted bool
		kind   kindOf
		faults []fault
	}{
		{p.SQLite, kindOf{name: "SQLite", servers: 1}, sqliteFaults},
		{p.SQLite, kindOf{name: "SQLite", servers: 1, small: "48m"}, diskFaults},
		{p.Postgres, kindOf{name: "PostgreSQL", postgres: true, standby: true, servers: 2}, postgresFaults},
		{p.Postgres, kindOf{name: "PostgreSQL", postgres: true, servers: 2, small: "240m"}, diskFaults},
	}
	for i, step := range plan {
		if !step.wanted {
			continue
		}
		got, err := p.runKind(ctx, step.kind, step.faults, p.Seed+1000*uint64(i))
		tallies = append(tallies, got...)
		if err != nil {
			return tallies, fmt.Errorf("%s: %w", step.kind.name, err)
		}
	}
	return tallies, nil
}

// runKind injects all faults of one kind of yard.
func (p *Program) runKind(ctx context.Context, k kindOf, faults []fault, seed uint64) (tallies []Tally, err error) {
	if k.small != "" {
		folder, away, err := smallDisk(ctx, p.Dir, k.small)
		if err != nil {
			return []Tally{{Fault: "disk full", Database: k.name, Skipped: err.Error()}}, nil
		}
		defer away()
		k.small = folder
	}
	var r *rig
	end := func(t *Tally) error {
		if r == nil {
			return nil
		}
		err := errors.Join(r.compare(ctx, t), r.down(context.WithoutCancel(ctx)))
		r = nil
		return err
	}
	defer func() {
		if r != nil {
			err = errors.Join(err, r.down(context.WithoutCancel(ctx)))
		}
	}()
	for _, f := range faults {
		if len(p.Only) > 0 && !slices.Contains(p.Only, f.name) {
			continue
		}
		t := Tally{Fault: f.name, Database: k.name}
		for range max(1, p.Times*f.share/100) {
			if r != nil && r.floor.left() < few {
				if err := end(&t); err != nil {
					return tallies, err
				}
			}
			if r == nil {
				seed++
				if r, err = p.newRig(ctx, k, seed); err != nil {
					return tallies, err
				}
			}
			if err := p.injectOne(ctx, r, f, &t); err != nil {
				return append(tallies, t), fmt.Errorf("%s, time %d: %w", f.name, t.Injected, err)
			}
		}
		fmt.Fprintf(p.Log, "%s: %s %d times, %d reads acknowledged, %d lost, %d doubled, %d not as rebuilt\n",
			t.Database, t.Fault, t.Injected, t.Acknowledged, t.Lost, t.Doubled, t.NotAsRebuilt)
		for _, c := range t.Complaints[:min(len(t.Complaints), 5)] {
			fmt.Fprintln(p.Log, "   ", c)
		}
		tallies = append(tallies, t)
	}
	last := &Tally{}
	if len(tallies) > 0 {
		last = &tallies[len(tallies)-1]
	}
	return tallies, end(last)
}

func (p *Program) injectOne(ctx context.Context, r *rig, f fault, t *Tally) error {
	before, began := r.floor.acknowledged(), time.Now()
	t.Injected++
	if err := f.inject(ctx, r); err != nil {
		return err
	}
	if err := r.goesOn(); err != nil {
		return err
	}
	t.Recovery = max(t.Recovery, time.Since(began))
	t.Acknowledged += r.floor.acknowledged() - before
	return r.check(ctx, t)
}

// smallDisk mounts a disk in memory of a size such as 48m, for filling.
func smallDisk(ctx context.Context, dir, size string) (folder string, away func(), err error) {
	if folder, err = os.MkdirTemp(dir, "faults-disk-"); err != nil {
		return "", nil, err
	}
	out, err := exec.CommandContext(ctx, "mount", "-t", "tmpfs", "-o", "size="+size+",mode=0755", "tmpfs", folder).CombinedOutput()
	if err != nil {
		return "", nil, errors.Join(fmt.Errorf("a small disk cannot be mounted here (it takes root): %s", filepath.Base(string(out))), os.Remove(folder))
	}
	return folder, func() {
		_ = exec.Command("umount", "-l", folder).Run() // what holds it is on its way out
		_ = os.Remove(folder)
	}, nil
}

// Print writes the tallies as a table.
func Print(w io.Writer, tallies []Tally) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(out, "database\tfault\tinjected\tacknowledged\tlost\tdoubled\tnot as rebuilt\tlongest, s\t")
	var all Tally
	for _, t := range tallies {
		if t.Skipped != "" {
			fmt.Fprintf(out, "%s\t%s\tskipped\t\t\t\t\t\t%s\n", t.Database, t.Fault, t.Skipped)
			continue
		}
		fmt.Fprintf(out, "%s\t%s\t%d\t%d\t%d\t%d\t%d\t%.1f\t\n", t.Database, t.Fault, t.Injected, t.Acknowledged, t.Lost, t.Doubled, t.NotAsRebuilt, t.Recovery.Seconds())
		all.Injected += t.Injected
		all.Acknowledged += t.Acknowledged
		all.Lost += t.Lost
		all.Doubled += t.Doubled
		all.NotAsRebuilt += t.NotAsRebuilt
	}
	fmt.Fprintf(out, "\tall\t%d\t%d\t%d\t%d\t%d\t\t\n", all.Injected, all.Acknowledged, all.Lost, all.Doubled, all.NotAsRebuilt)
	return out.Flush()
}
