package load

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"time"

	"hulltally/cmd/floorsim/process"
	"hulltally/models"
)

// Program is a run of measurements against one empty database.
type Program struct {
	Hulltally string
	Database  string // its address; it must be empty
	Servers   int
	Seed      uint64
	Out       io.Writer
}

// ShiftStart measures people clocking on within a while: a badge and a job each.
func (p *Program) ShiftStart(ctx context.Context, people int, within time.Duration) error {
	return p.measure(ctx, fmt.Sprintf("shift start of %d people within %v", people, within), people, func(y *yard) []arrival {
		dice := rand.New(rand.NewPCG(p.Seed, uint64(people)))
		var list []arrival
		for i := range people {
			at := time.Duration(dice.Int64N(int64(within)))
			s := i / peopleAtStation % y.stations
			list = append(list, arrival{at, s, y.badges[i]}, arrival{at + 1500*time.Millisecond, s, y.jobs[i%len(y.jobs)]})
		}
		return list
	})
}

// Steady measures a steady stream of reads a second from all stations.
func (p *Program) Steady(ctx context.Context, people, rate int, lasting time.Duration) error {
	return p.measure(ctx, fmt.Sprintf("%d reads/s for %v, %d people", rate, lasting, people), people, func(y *yard) []arrival {
		n := int(float64(rate) * lasting.Seconds())
		list := make([]arrival, n)
		for i := range list {
			s, turn := i%y.stations, i/y.stations
			sentence := turn / 2
			worker := s*peopleAtStation + sentence%peopleAtStation
			payload := y.badges[worker%len(y.badges)]
			if turn%2 == 1 {
				payload = y.jobs[(worker+7*sentence)%len(y.jobs)]
			}
			list[i] = arrival{time.Duration(float64(i) / float64(rate) * float64(time.Second)), s, payload}
		}
		return list
	})
}

// measure drives a fresh yard's arrivals at servers of their own processes.
func (p *Program) measure(ctx context.Context, name string, people int, plan func(*yard) []arrival) (err error) {
	store, err := models.Open(ctx, p.Database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	y, err := newYard(ctx, store, people, time.Now().AddDate(0, 0, -1))
	if err != nil {
		return err
	}
	var servers []*process.Server
	var urls []string
	for range p.Servers {
		s, err := process.New(p.Hulltally, p.Database)
		if err != nil {
			return err
		}
		if err := s.Start(ctx); err != nil {
			return err
		}
		defer func() { _ = s.Kill() }() // measured and done with
		servers = append(servers, s)
		urls = append(urls, s.URL())
	}
	before, err := bytesOf(ctx, store, p.Database)
	if err != nil {
		return err
	}
	commits, err := commitsOf(ctx, store)
	if err != nil {
		return err
	}
	w := y.drive(ctx, urls, plan(y))
	after, err := bytesOf(ctx, store, p.Database)
	if err != nil {
		return err
	}
	commitsAfter, err := commitsOf(ctx, store)
	if err != nil {
		return err
	}
	var peak int64
	for _, s := range servers {
		peak = max(peak, s.PeakKB())
	}
	limits, err := measureLimits(ctx, store, folderOf(p.Database))
	if err != nil {
		return err
	}
	n := float64(max(1, w.Reads))
	fmt.Fprintf(p.Out, "%s, %s, %d server(s)\n", name, store.Kind(), p.Servers)
	fmt.Fprintf(p.Out, "  acknowledged %d reads in %.1f s = %.0f/s; requests sent again: %d\n", w.Reads, w.Took.Seconds(), n/w.Took.Seconds(), w.Failed)
	fmt.Fprintf(p.Out, "  from scan to answer: p50 %v  p99 %v  max %v\n", round(w.P50), round(w.P99), round(w.Max))
	fmt.Fprintf(p.Out, "  peak memory of a server %d MB; %.0f bytes of database a read", peak>>10, float64(after-before)/n)
	if commitsAfter > commits {
		fmt.Fprintf(p.Out, "; %.2f transactions a read", float64(commitsAfter-commits)/n)
	}
	fmt.Fprintf(p.Out, "\n  of this machine, same run: %.0f flushes/s; a bare writer %.0f reads/s; rows read out %.0f/s\n", limits.Flushes, limits.Bare, limits.Stream)
	return nil
}

func round(d time.Duration) time.Duration { return d.Round(100 * time.Microsecond) }

// commitsOf counts the transactions of a PostgreSQL database so far.
func commitsOf(ctx context.Context, store *models.Store) (n int64, err error) {
	if store.Kind() != "postgres" {
		return 0, nil
	}
	err = store.Read(ctx, func(tx *models.Tx) error {
		return tx.DB.Raw("SELECT xact_commit FROM pg_stat_database WHERE datname = current_database()").Row().Scan(&n)
	})
	return n, err
}
