package faults

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"hulltally/cmd/floorsim/process"
	"hulltally/costing"
	"hulltally/models"
)

// Tally counts what one kind of fault did.
type Tally struct {
	Fault, Database             string
	Injected, Acknowledged      int
	Lost, Doubled, NotAsRebuilt int
	Recovery                    time.Duration // longest, from the fault to a serving server
	Skipped                     string        // why it could not be tried here
	Complaints                  []string
}

// check looks at what a fault left, while nobody sends.
func (r *rig) check(ctx context.Context, t *Tally) error {
	r.floor.still.Lock()
	defer r.floor.still.Unlock()
	store, err := models.Open(ctx, r.database)
	if err != nil {
		return err
	}
	defer store.Close()
	stored, twice, err := storedReads(ctx, store)
	if err != nil {
		return err
	}
	r.floor.mutex.Lock()
	for id, want := range r.floor.acked {
		got, ok := stored[id]
		switch {
		case !ok:
			t.Lost++
			t.Complaints = append(t.Complaints, fmt.Sprintf("read %s of %s (n %d) was acknowledged and is gone", id, want.Station, want.N))
		case got.Station != want.Station || got.N != want.N || got.At != want.At || got.Payload != want.Payload:
			t.Lost++
			t.Complaints = append(t.Complaints, fmt.Sprintf("read %s was sent as %+v and is kept as %+v", id, want, got))
		}
	}
	t.Complaints = append(t.Complaints, r.floor.odd...)
	r.floor.odd = nil
	r.floor.mutex.Unlock()
	t.Doubled += twice
	differences, err := store.Check(ctx, func(string, int, int) {})
	if err != nil {
		return err
	}
	if len(differences) > 0 {
		t.NotAsRebuilt++
		t.Complaints = append(t.Complaints, fmt.Sprintf("%d derived rows are not as a rebuild makes them, first %+v", len(differences), differences[0]))
	}
	health, err := store.Health(ctx, costing.InstantOf(time.Now()))
	if err != nil {
		return err
	}
	for _, wrong := range health.Wrong {
		if strings.Contains(wrong, "free on the database's disk") { // a small disk is what we asked for
			continue
		}
		t.NotAsRebuilt++
		t.Complaints = append(t.Complaints, wrong)
	}
	return nil
}

// storedReads is every read kept, and how many stand there under two ids.
func storedReads(ctx context.Context, store *models.Store) (map[string]models.ReadRow, int, error) {
	stored, twice := map[string]models.ReadRow{}, 0
	seen := map[string]bool{}
	err := store.Read(ctx, func(tx *models.Tx) error {
		clear(stored)
		rows, err := tx.DB.Raw("SELECT id, station, n, at_ms, payload FROM reads").Rows()
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var r models.ReadRow
			if err := rows.Scan(&r.ID, &r.Station, &r.N, &r.At, &r.Payload); err != nil {
				return err
			}
			stored[r.ID] = r
			if place := fmt.Sprint(r.Station, "/", r.N); seen[place] {
				twice++
			} else {
				seen[place] = true
			}
		}
		return rows.Err()
	})
	return stored, twice, err
}

// compare sends every read that is kept once more, in order, to a fresh
// database: the reports have to be the same, whatever happened on the way.
func (r *rig) compare(ctx context.Context, t *Tally) error {
	r.floor.still.Lock()
	defer r.floor.still.Unlock()
	fresh := "sqlite:" + filepath.Join(r.dir, "fresh.db")
	reads := filepath.Join(r.dir, "dump")
	if _, err := r.hulltally(ctx, r.database, "dump", reads); err != nil {
		return err
	}
	if _, err := r.hulltally(ctx, fresh, "load", reads); err != nil {
		return err
	}
	at := time.Now().UTC().Format(time.RFC3339)
	for _, report := range []string{"cost", "hours", "stock", "mass", "ties"} {
		var texts [2]string
		for i, database := range []string{r.database, fresh} {
			text, err := r.hulltally(ctx, database, "report", report, "--as", "json", "--at", at)
			if err != nil {
				return err
			}
			texts[i] = text
		}
		if texts[0] != texts[1] {
			t.NotAsRebuilt++
			t.Complaints = append(t.Complaints, "report "+report+" is another than that of a fresh database with the same reads")
		}
	}
	return errors.Join(os.RemoveAll(reads), os.Remove(strings.TrimPrefix(fresh, "sqlite:")))
}

// hulltally runs a command of the program under test.
func (r *rig) hulltally(ctx context.Context, database string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, r.program, append([]string{"--database", database}, args...)...)
	var said process.Tail
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("hulltally %s: %w: %s", strings.Join(args, " "), err, &said)
	}
	return string(out), nil
}
