package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

// stockFlags say which database to hold against the truth of its yard, and how
// that yard was simulated.
type stockFlags struct {
	Database string `arg:"" help:"The database that loaded the yard: sqlite:PATH or postgres://…"`
	Seed     uint64 `help:"Seed of the yard." default:"1"`
	Start    string `help:"Its first day." default:"2026-05-04" placeholder:"DATE"`
	Months   int    `help:"Months simulated." default:"6"`
	People   int    `help:"People on the floor." default:"42"`
	Hulls    int    `help:"Hulls; 0 is as many as keep the people busy." default:"0"`
}

// run is 0 where the comparison is printed, 1 where the books can't be read, 2 for wrong usage.
func (s *stockFlags) run(out, errs io.Writer) int {
	cfg := sim.Default()
	err := flags{Seed: s.Seed, Start: s.Start, Months: s.Months, People: s.People, Hulls: s.Hulls}.apply(&cfg)
	if err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 2
	}
	if err := compareStock(context.Background(), cfg, s.Database, out); err != nil {
		fmt.Fprintln(errs, "floorsim:", err)
		return 1
	}
	return 0
}

func compareStock(ctx context.Context, cfg sim.Config, database string, out io.Writer) (err error) {
	w := sim.Generate(cfg)
	store, err := models.Open(ctx, database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	return store.Read(ctx, func(tx *models.Tx) error {
		list, err := w.CompareStock(ctx, tx, costing.InstantOf(time.Now()))
		if err != nil {
			return err
		}
		return sim.WriteStockErrors(out, list)
	})
}
