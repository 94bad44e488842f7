package faults

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"time"

	"hulltally/cmd/floorsim/process"
	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/models"
)

// rig is a yard at work: a database, servers at it, cables to them, stations.
type rig struct {
	program, dir string
	seed         uint64
	dice         *rand.Rand

	database string // its address
	sqlite   string // its path, where it is SQLite
	main     *cluster
	standby  *cluster
	servers  []*process.Server
	cables   []*cable
	floor    *floor
	yard     string // the folder of its yard files
	codes    map[string]string

	stop    context.CancelFunc
	running sync.WaitGroup
}

// kindOf is what a rig is made for.
type kindOf struct {
	name     string
	postgres bool
	small    string // a folder on a small disk, where the disk is to be filled
	standby  bool
	servers  int
}

// yardMonths is how long a yard's reads last; a rig that has used them up is
// taken down and another set up.
const (
	yardMonths = 6
	yardPeople = 60
)

func (p *Program) newRig(ctx context.Context, k kindOf, seed uint64) (*rig, error) {
	dir, err := os.MkdirTemp(p.Dir, "faults-")
	if err != nil {
		return nil, err
	}
	r := &rig{program: p.Hulltally, dir: dir, seed: seed, dice: rand.New(rand.NewPCG(seed, 7))}
	if err := r.up(ctx, k); err != nil {
		return nil, errors.Join(err, r.down(context.WithoutCancel(ctx)))
	}
	return r, nil
}

// up sets everything up and lets the floor begin.
func (r *rig) up(ctx context.Context, k kindOf) error {
	if os.Geteuid() == 0 { // the database's owner has to get in
		if err := os.Chmod(r.dir, 0o755); err != nil {
			return err
		}
	}
	if err := r.setDatabase(ctx, k); err != nil {
		return err
	}
	keys, reads, err := r.setYard(ctx)
	if err != nil {
		return err
	}
	var targets []string
	for range k.servers {
		s, err := process.New(r.program, r.database)
		if err != nil {
			return err
		}
		r.servers = append(r.servers, s)
		c, err := newCable(s.Address)
		if err != nil {
			return err
		}
		r.cables = append(r.cables, c)
		targets = append(targets, c.url())
		if err := s.Start(ctx); err != nil {
			return err
		}
	}
	r.floor = newFloor(targets, keys, reads, r.seed)
	work, stop := context.WithCancel(ctx)
	r.stop = stop
	r.running.Go(func() { r.floor.run(work) })
	return nil
}

func (r *rig) setDatabase(ctx context.Context, k kindOf) (err error) {
	base := r.dir
	if k.small != "" {
		base = k.small
	}
	if !k.postgres {
		r.sqlite = filepath.Join(base, "yard.db")
		r.database = "sqlite:" + r.sqlite
		return nil
	}
	if r.main, err = newCluster(ctx, filepath.Join(base, "one")); err != nil {
		return err
	}
	if err := r.main.start(ctx); err != nil {
		return err
	}
	if _, err := r.main.sql(ctx, "postgres", "CREATE DATABASE yard"); err != nil {
		return err
	}
	hosts := fmt.Sprintf("127.0.0.1:%d", r.main.port)
	if k.standby {
		if r.standby, err = r.main.follow(ctx, filepath.Join(base, "two")); err != nil {
			return err
		}
		if err := r.standby.start(ctx); err != nil {
			return err
		}
		if err := r.main.demand(ctx); err != nil {
			return err
		}
		hosts += fmt.Sprintf(",127.0.0.1:%d", r.standby.port)
	}
	r.database = "postgres://postgres@" + hosts + "/yard?sslmode=disable&target_session_attrs=read-write&connect_timeout=2"
	return nil
}

// setYard loads a simulated yard without its reads and makes a key for each station.
func (r *rig) setYard(ctx context.Context) (map[string]string, []models.ReadRow, error) {
	cfg := sim.Default()
	cfg.Seed, cfg.Months, cfg.People = r.seed, yardMonths, yardPeople
	r.yard = filepath.Join(r.dir, "yard")
	if err := sim.Generate(cfg).WriteYard(r.yard); err != nil {
		return nil, nil, err
	}
	path := filepath.Join(r.yard, "reads.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	reads, err := models.ParseReads(text)
	if err != nil {
		return nil, nil, err
	}
	if err := os.Remove(path); err != nil {
		return nil, nil, err
	}
	store, err := models.Open(ctx, r.database)
	if err != nil {
		return nil, nil, err
	}
	defer store.Close()
	now := costing.InstantOf(time.Now())
	if _, err := store.Load(ctx, r.yard, models.LoadOptions{Now: now, Who: "faults"}); err != nil {
		return nil, nil, err
	}
	keys := map[string]string{}
	for _, read := range reads {
		if keys[read.Station] == "" {
			if keys[read.Station], _, err = store.NewStationKey(ctx, read.Station, models.Deed{Who: "faults", At: now}); err != nil {
				return nil, nil, err
			}
		}
	}
	return keys, reads, nil
}

// down takes everything down and away.
func (r *rig) down(ctx context.Context) error {
	if r.stop != nil {
		r.stop()
		r.running.Wait()
	}
	for _, c := range r.cables {
		c.close()
	}
	for _, s := range r.servers {
		_ = s.Kill() // it may be gone already
	}
	for _, c := range []*cluster{r.main, r.standby} {
		if c != nil {
			_ = c.stop(ctx, "immediate") // the same
			_ = os.RemoveAll(c.dir)
		}
	}
	if r.sqlite != "" {
		for _, end := range []string{"", "-wal", "-shm"} {
			_ = os.Remove(r.sqlite + end)
		}
	}
	return os.RemoveAll(r.dir)
}

// work lets the floor scan for a random while, from least to most.
func (r *rig) work(least, most time.Duration) {
	time.Sleep(least + time.Duration(r.dice.Int64N(int64(most-least))))
}
