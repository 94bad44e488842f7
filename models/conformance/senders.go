package conformance

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"hulltally/models"
)

func newIntake(t testing.TB, s *models.Store) *models.Intake {
	in := models.NewIntake(s, func() time.Time { return received.Time() })
	t.Cleanup(in.Close)
	return in
}

// send hands each sender's reads to an intake in order, all senders at once.
func send(t testing.TB, intakes []*models.Intake, senders [][]models.ReadRow, atOnce int) {
	t.Helper()
	var all sync.WaitGroup
	for i, reads := range senders {
		all.Go(func() {
			for part := range slices.Chunk(reads, atOnce) {
				answers, err := intakes[i%len(intakes)].Take(t.Context(), part)
				if err != nil || len(answers) != len(part) {
					t.Errorf("sender %d: %d answers to %d reads, %v", i, len(answers), len(part), err)
					return
				}
				for k, a := range answers {
					if a.ID != part[k].ID || a.Outcome == "" {
						t.Errorf("sender %d: read %s was answered %+v", i, part[k].ID, a)
					}
				}
			}
		})
	}
	all.Wait()
}

// deal gives every n-th read to each of n senders.
func deal(reads []models.ReadRow, n int) [][]models.ReadRow {
	hands := make([][]models.ReadRow, n)
	for i, r := range reads {
		hands[i%n] = append(hands[i%n], r)
	}
	return hands
}

// testSenders: sixteen senders at once, each with every sixteenth read, so that
// every worker and lot is written by all of them; then all of it once more.
func testSenders(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s, alone := open(t), open(t)
	load(t, s, y.yard.write(t))
	load(t, alone, y.yard.write(t))
	scan(t, alone, y.reads, 1000)
	in := []*models.Intake{newIntake(t, s)}
	send(t, in, deal(y.reads, 16), 5)
	want := derived(t, alone)
	sameDerived(t, "sixteen senders", derived(t, s), want)
	checked(t, "sixteen senders", s)
	send(t, in, deal(shuffled(y.reads, 3), 16), 50)
	sameDerived(t, "sixteen senders again", derived(t, s), want)
}

// testPoison: a read that the database will not take fails alone; those that
// shared its transaction are recorded.
func testPoison(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	const guard = "payload = 'POISON'"
	if s.Kind() == "sqlite" {
		exec(t, s, "CREATE TRIGGER guard BEFORE INSERT ON reads WHEN NEW."+guard+" BEGIN SELECT RAISE(ABORT, 'poison'); END")
	} else {
		exec(t, s, "ALTER TABLE reads ADD CONSTRAINT guard CHECK (NOT ("+guard+"))")
	}
	in := newIntake(t, s)
	good := deal(y.reads[:160], 15)
	bad := y.reads[200]
	bad.Payload = "POISON"
	var all sync.WaitGroup
	for _, reads := range good {
		all.Go(func() {
			if _, err := in.Take(t.Context(), reads); err != nil {
				t.Errorf("a good batch failed: %v", err)
			}
		})
	}
	for range 8 { // in turn, so that one of them shares a transaction
		all.Go(func() {
			if _, err := in.Take(t.Context(), []models.ReadRow{bad}); err == nil {
				t.Error("the poisoned read was acknowledged")
			}
		})
	}
	all.Wait()
	other := open(t)
	load(t, other, y.yard.write(t))
	scan(t, other, y.reads[:160], 1000)
	sameDerived(t, "beside a poisoned read", derived(t, s), derived(t, other))
	// What is not poisoned any more is taken in: a station keeps trying.
	if _, err := in.Take(t.Context(), y.reads[200:201]); err != nil {
		t.Error(err)
	}
	checked(t, "beside a poisoned read", s)
}

// testCut: work cut off at any moment leaves all of it or nothing.
func testCut(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	s := open(t)
	load(t, s, y.yard.write(t))
	scan(t, s, y.reads[:300], 1000)
	before := derived(t, s)
	rates := y.yard["rates.csv"] + "0101,2026-05-06,33.33\n"
	change := folder{"rates.csv": rates, "policy.csv": "key,from,value\non_cost,2026-05-06,0.31\n"}.write(t)
	cuts := 0
	for wait := 500 * time.Microsecond; ; wait = wait * 3 / 2 {
		ctx, cancel := context.WithTimeout(t.Context(), wait)
		_, err := s.Load(ctx, change, models.LoadOptions{Now: Now})
		cancel()
		if err == nil {
			break
		}
		cuts++
		if !errors.Is(err, context.DeadlineExceeded) && !errors.Is(ctx.Err(), context.DeadlineExceeded) {
			t.Fatalf("a load that was cut off gave %v", err)
		}
		sameDerived(t, "a load cut off after "+wait.String(), derived(t, s), before)
		if wait > time.Minute {
			t.Fatal("the load never ends")
		}
	}
	if cuts < 3 {
		t.Errorf("only %d loads were cut off", cuts)
	}
	checked(t, "after the load", s)
	at := 300
	for wait := time.Millisecond; at < len(y.reads); wait = wait * 3 / 2 {
		ctx, cancel := context.WithTimeout(t.Context(), wait)
		_, err := s.Scan(ctx, y.reads[at:min(at+40, len(y.reads))], received, nil)
		cancel()
		if err == nil {
			at += 40
		} else if ctx.Err() == nil {
			t.Fatal(err)
		}
	}
	checked(t, "after reads that were cut off", s)
	other := open(t)
	load(t, other, y.yard.write(t))
	load(t, other, change)
	scan(t, other, y.reads, 1000)
	sameDerived(t, "after reads that were cut off", derived(t, s), derived(t, other))
}

// TwoServers races two servers on one database, which both know by its
// address: on one worker, on one lot, and on everything.
func TwoServers(t *testing.T, address string) {
	y := smallYard(t)
	one, two, alone := open(t, address), open(t, address), SQLite(t)
	load(t, one, y.yard.write(t))
	load(t, alone, y.yard.write(t))
	scan(t, alone, y.reads, 1000)
	in := []*models.Intake{newIntake(t, one), newIntake(t, two)}
	send(t, in, deal(y.reads[:120], 2), 1) // turn by turn: both write the same worker and lot
	send(t, in, deal(shuffled(y.reads[120:], 5), 8), 9)
	sameDerived(t, "two servers", derived(t, two), derived(t, alone))
	checked(t, "two servers", one)
}

// TwoFollowers: a server follows what another one changes on the PostgreSQL
// database they share.
func TwoFollowers(t *testing.T, address string) {
	one, two := open(t, address), open(t, address)
	load(t, one, Tiny())
	follow(t, one, two)
}
