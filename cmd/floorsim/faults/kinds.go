package faults

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"github.com/google/uuid"

	"hulltally/cmd/floorsim/process"
	"hulltally/costing"
	"hulltally/models"
)

// fault is one way to break a yard; it mends it again before it returns.
type fault struct {
	name string
	// share is how often it is injected, of the number asked for, in hundredths.
	share  int
	inject func(ctx context.Context, r *rig) error
}

var sqliteFaults = []fault{
	{"server killed", 100, killServer},
	{"power cut, log torn", 40, tearLog},
	{"network cut", 20, cutNetwork},
	{"answers lost", 20, loseAnswers},
	{"batches doubled and reordered", 15, misorder},
	{"clock jumps", 15, jumpClock},
}

var diskFaults = []fault{{"disk full", 10, fillDisk}}

var postgresFaults = []fault{
	{"server killed", 100, killServer},
	{"both servers killed", 20, killAll},
	{"database stopped, started", 15, restartFast},
	{"database stopped at once", 15, restartAtOnce},
	{"power cut, log torn", 20, tearCluster},
	{"network cut", 20, cutNetwork},
	{"answers lost", 20, loseAnswers},
	{"batches doubled and reordered", 15, misorder},
	{"clock jumps", 15, jumpClock},
	{"two servers at one worker, one lot", 20, race},
	{"primary lost, standby promoted", 10, failOver},
}

const (
	short = 30 * time.Millisecond
	long  = 400 * time.Millisecond
)

func killServer(ctx context.Context, r *rig) error {
	r.work(short, long)
	s := r.servers[r.dice.IntN(len(r.servers))]
	return errors.Join(s.Kill(), s.Start(ctx))
}

func killAll(ctx context.Context, r *rig) error {
	r.work(short, long)
	for _, s := range r.servers {
		if err := s.Kill(); err != nil {
			return err
		}
	}
	return r.startAll(ctx)
}

func (r *rig) startAll(ctx context.Context) error {
	for _, s := range r.servers {
		if err := s.Start(ctx); err != nil {
			return err
		}
	}
	return nil
}

func tearLog(ctx context.Context, r *rig) error {
	r.work(short, long)
	for _, s := range r.servers {
		if err := s.Kill(); err != nil {
			return err
		}
	}
	// The index of the log is in memory that a power cut empties.
	if err := os.Remove(r.sqlite + "-shm"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if _, err := tearSQLite(r.sqlite, r.dice); err != nil {
		return err
	}
	return r.startAll(ctx)
}

func cutNetwork(_ context.Context, r *rig) error {
	r.work(short, long)
	c := r.cables[r.dice.IntN(len(r.cables))]
	c.set(cut)
	r.work(short, long)
	c.set(whole)
	r.work(short, long)
	return nil
}

func loseAnswers(_ context.Context, r *rig) error {
	r.work(short, long)
	for _, c := range r.cables {
		c.set(oneWay)
	}
	r.work(short, long)
	for _, c := range r.cables {
		c.set(whole)
	}
	r.work(short, long)
	return nil
}

func misorder(_ context.Context, r *rig) error {
	const often = 400 // of a thousand batches
	r.floor.doubling.Store(often)
	r.floor.swapping.Store(often)
	r.work(2*long, 3*long)
	r.floor.doubling.Store(0)
	r.floor.swapping.Store(0)
	return nil
}

func jumpClock(_ context.Context, r *rig) error {
	r.work(short, long)
	span := (4 * time.Hour).Milliseconds()
	r.floor.jump.Store(r.dice.Int64N(span) - span/2)
	r.work(short, long)
	r.floor.jump.Store(0)
	r.work(short, long)
	return nil
}

// fillDisk fills the database's disk to the last byte while the floor scans,
// then makes room again. Nothing may be acknowledged that is not kept; what was
// refused is sent again.
func fillDisk(ctx context.Context, r *rig) error {
	r.work(short, long)
	folder := filepath.Dir(r.sqlite)
	if r.sqlite == "" {
		folder = filepath.Dir(r.main.dir)
	}
	filler := filepath.Join(folder, "filler")
	f, err := os.Create(filler)
	if err != nil {
		return err
	}
	block := make([]byte, 1<<20)
	for len(block) > 512 {
		if _, err := f.Write(block); err != nil {
			block = block[:len(block)/2]
		}
	}
	before := r.floor.acknowledged()
	time.Sleep(4 * long)
	between := r.floor.acknowledged()
	if err := errors.Join(f.Close(), os.Remove(filler)); err != nil {
		return err
	}
	if r.main != nil { // PostgreSQL gives up when its log has no room
		if _, err := r.main.sql(ctx, "postgres", "SELECT 1"); err != nil {
			_ = r.main.stop(ctx, "immediate") // it may be down already
			if err := r.main.start(ctx); err != nil {
				return err
			}
		}
	}
	for began := time.Now(); r.floor.acknowledged() == between; time.Sleep(short) {
		if time.Since(began) > process.Patience {
			return fmt.Errorf("with room on the disk again nothing was acknowledged for %v (before: %d, while full: %d)", process.Patience, before, between)
		}
		if r.floor.left() == 0 {
			break
		}
	}
	return nil
}

func restartFast(ctx context.Context, r *rig) error   { return restart(ctx, r, "fast") }
func restartAtOnce(ctx context.Context, r *rig) error { return restart(ctx, r, "immediate") }

// restart stops the database under servers that go on running.
func restart(ctx context.Context, r *rig, mode string) error {
	r.work(short, long)
	if err := r.main.stop(ctx, mode); err != nil {
		return err
	}
	r.work(short, long)
	return errors.Join(r.main.start(ctx), r.goesOn())
}

// goesOn waits until reads are acknowledged again.
func (r *rig) goesOn() error {
	before := r.floor.acknowledged()
	for began := time.Now(); r.floor.acknowledged() == before && r.floor.left() > 0; time.Sleep(5 * time.Millisecond) {
		if time.Since(began) > process.Patience {
			return fmt.Errorf("nothing was acknowledged for %v after the fault was mended", process.Patience)
		}
	}
	return nil
}

// tearCluster loses the machine of the database: all its processes at one
// instant, and half a record at the end of its log.
func tearCluster(ctx context.Context, r *rig) error {
	r.work(short, long)
	if err := r.main.kill(ctx); err != nil {
		return err
	}
	garbage := make([]byte, 1+r.dice.IntN(4096))
	for i := range garbage {
		garbage[i] = byte(r.dice.Uint32())
	}
	if err := r.main.tear(ctx, garbage); err != nil {
		return err
	}
	return errors.Join(r.main.start(ctx), r.goesOn())
}

// failOver loses the primary for good and promotes its standby; the lost
// machine comes back as the new standby.
func failOver(ctx context.Context, r *rig) error {
	r.work(short, long)
	if err := r.main.kill(ctx); err != nil {
		return err
	}
	if err := r.standby.run(ctx, "pg_ctl", "-D", r.standby.dir, "-w", "-t", "60", "promote"); err != nil {
		return err
	}
	r.main, r.standby = r.standby, r.main
	if err := r.goesOn(); err != nil {
		return err
	}
	if err := r.standby.copyOf(ctx, r.main); err != nil {
		return err
	}
	if err := r.standby.start(ctx); err != nil {
		return err
	}
	return r.main.demand(ctx)
}

// raceReads is how many sentences each side of a race sends.
const raceReads = 20

// race clocks one worker on to jobs and draws on one lot from every station at
// once, through all servers.
func race(ctx context.Context, r *rig) error {
	if err := r.readCodes(ctx); err != nil {
		return err
	}
	var stations []string
	for station := range r.floor.keys {
		stations = append(stations, station)
	}
	slices.Sort(stations)
	var all sync.WaitGroup
	failed := make([]error, len(stations))
	for i, station := range stations {
		all.Go(func() {
			for k := range raceReads {
				at := costing.InstantOf(time.Now())
				var batch []models.ReadRow
				for j, payload := range []string{r.codes["worker"], r.codes["job"], r.codes["lot"], "0.010"} {
					batch = append(batch, models.ReadRow{
						ID: uuid.NewString(), Station: station, N: int64(at) + int64(j), At: at + costing.Instant(j), Payload: payload,
					})
				}
				if err := r.insist(ctx, (i+k)%len(r.cables), station, batch); err != nil {
					failed[i] = err
					return
				}
			}
		})
	}
	all.Wait()
	return errors.Join(failed...)
}

func (r *rig) insist(ctx context.Context, server int, station string, batch []models.ReadRow) (err error) {
	for range 200 {
		r.floor.still.RLock()
		err = r.floor.post(ctx, r.cables[server].url(), station, batch)
		r.floor.still.RUnlock()
		if err == nil {
			return nil
		}
		time.Sleep(short)
	}
	return err
}

// readCodes picks the worker, job and lot of races.
func (r *rig) readCodes(ctx context.Context) error {
	if r.codes != nil {
		return nil
	}
	store, err := models.Open(ctx, r.database)
	if err != nil {
		return err
	}
	defer store.Close()
	return store.Read(ctx, func(tx *models.Tx) error {
		codes, err := tx.Codes(ctx)
		r.codes = map[string]string{}
		for _, c := range codes {
			if r.codes[c.Kind] == "" {
				r.codes[c.Kind] = c.Payload
			}
		}
		return err
	})
}
