package main

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

type demoCommand struct {
	Address string `help:"Where to listen." default:"127.0.0.1:8080" env:"HULLTALLY_ADDRESS"`
	Months  int    `help:"Months of work." default:"6"`
	Seed    int64  `help:"Which chance the yard has: the same number is the same yard." default:"1"`
	Keep    bool   `help:"Only make the database; do not serve it."`

	Fonts []string `help:"Folders of fonts for cards with names in other scripts." placeholder:"DIR" env:"HULLTALLY_FONTS"`
}

// Run makes a fresh demonstration yard and serves it.
func (d *demoCommand) Run(ctx context.Context, c *cli, e env) (err error) {
	if c.Database != "" && !strings.HasPrefix(c.Database, "sqlite:") {
		return usage("--database", errors.New("the demonstration makes an embedded database: name sqlite:PATH, or none"))
	}
	path, err := d.path(c)
	if err != nil {
		return err
	}
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("the old demonstration cannot be taken away: %w", err)
		}
	}
	store, err := models.Open(ctx, "sqlite:"+path)
	if err != nil {
		return err
	}
	defer func() {
		if e := store.Close(); err == nil {
			err = e
		}
	}()
	began := e.now()
	if err := d.load(ctx, store, e); err != nil {
		return err
	}
	fmt.Fprintf(e.out, "the demonstration yard is in %s, made in %.1f s\n", path, e.now().Sub(began).Seconds())
	if err := d.people(ctx, store, e); err != nil {
		return err
	}
	if d.Keep {
		return nil
	}
	serve := serveCommand{Address: d.Address, Reads: 1000, Fonts: d.Fonts}
	return serve.serve(ctx, store, e)
}

// path is the demonstration's own file, never the yard's. One that is named is
// only taken where it is new or was a demonstration before.
func (d *demoCommand) path(c *cli) (string, error) {
	if c.Database == "" {
		dir, err := dataFolder()
		return filepath.Join(dir, "demonstration.db"), err
	}
	path := strings.TrimPrefix(c.Database, "sqlite:")
	if _, err := os.Stat(path); err == nil && !strings.Contains(filepath.Base(path), "demo") {
		return "", usage("--database", fmt.Errorf("%s exists and would be lost: name a new file, or one with demo in its name", path))
	}
	return path, nil
}

// load simulates the yard and loads it, showing how far it is.
func (d *demoCommand) load(ctx context.Context, store *models.Store, e env) (err error) {
	dir, err := os.MkdirTemp("", "hulltally-demo-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	fmt.Fprintln(e.out, "simulating a yard that builds pilot and rescue craft (all of it is invented) …")
	config := sim.Default()
	config.Months, config.Seed = d.Months, uint64(d.Seed)
	if err := sim.Generate(config).WriteYard(dir); err != nil {
		return err
	}
	fmt.Fprintln(e.out, "loading its files and reads …")
	_, err = store.Load(ctx, dir, models.LoadOptions{
		Now: costing.InstantOf(e.now()), Who: "demonstration", Progress: slowProgress(e.out, e.now),
	})
	return err
}

// slowProgress prints a line a second, on a terminal and elsewhere.
func slowProgress(w io.Writer, now func() time.Time) func(step string, done, total int) {
	last := now()
	return func(step string, done, total int) {
		if now().Sub(last) < time.Second && (done != total || step != "reads") {
			return
		}
		last = now()
		fmt.Fprintf(w, "  %s: %d of %d\n", step, done, total)
	}
}

// demoPeople are who may sign in to the demonstration, by role.
var demoPeople = []models.NewPerson{
	{Name: "owner", Role: models.Owner},
	{Name: "bookkeeper", Role: models.Bookkeeper},
	{Name: "estimator", Role: models.Estimator},
	{Name: "leader", Role: models.TeamLeader},
	{Name: "stores", Role: models.Stores},
}

// people lets them in with passwords made now, and prints them and codes for
// two stations.
func (d *demoCommand) people(ctx context.Context, store *models.Store, e env) error {
	by := byCommand(e)
	fmt.Fprintln(e.out, "\nsign-ins, made for this run:")
	for _, p := range demoPeople {
		p.Password = newPassword()
		if _, err := store.AddPerson(ctx, p, by); err != nil {
			return err
		}
		fmt.Fprintf(e.out, "  %-11s %-12s password %s\n", p.Name, "("+string(p.Role)+")", p.Password)
	}
	stations, err := store.Stations(ctx)
	if err != nil {
		return err
	}
	seen := map[string]bool{}
	fmt.Fprintln(e.out, "codes that make a browser a station, at /station:")
	for _, st := range stations {
		if seen[st.Kind] {
			continue
		}
		seen[st.Kind] = true
		code, err := store.NewEnrolCode(ctx, st.Station, by)
		if err != nil {
			return err
		}
		fmt.Fprintf(e.out, "  %-11s %s (for %v)\n", st.Kind, code, models.EnrolCodeLasts)
	}
	fmt.Fprintln(e.out)
	return nil
}

// newPassword is 80 random bits in letters that are easily told apart.
func newPassword() string {
	b := make([]byte, 10)
	_, _ = rand.Read(b) // never fails: the program stops before
	s := strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
	return s[:4] + "-" + s[4:8] + "-" + s[8:12] + "-" + s[12:]
}
