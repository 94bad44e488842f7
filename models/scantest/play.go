package scantest

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"hulltally/models"
)

var update = flag.Bool("update", false, "write the lines under the dashes of the scan scripts anew")

// Dir is the folder of the scripts.
func Dir() string {
	_, here, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(here), "..", "..", "testdata", "scans")
}

// Run plays every script on a rig, which gets a new store with the script's
// yard for each. With -update the core's lines are written; others compare.
func Run(t *testing.T, open func(t testing.TB) *models.Store, rig func(t *testing.T, s *models.Store) Rig) {
	names, err := filepath.Glob(filepath.Join(Dir(), "*.scan"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no scripts in %s: %v", Dir(), err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".scan"), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			s, err := Parse(filepath.Base(name), string(text))
			if err != nil {
				t.Fatal(err)
			}
			store := open(t)
			load(t, store, s)
			got, err := s.play(t, store, rig(t, store))
			if err != nil {
				t.Fatal(err)
			}
			if got == s.Want {
				return
			}
			if *update {
				if err := os.WriteFile(name, []byte(s.Above+"\n"+dashes+"\n"+got), 0o600); err != nil {
					t.Fatal(err)
				}
				return
			}
			t.Errorf("%s gave\n%swant\n%s", s.Name, got, s.Want)
		})
	}
}

func load(t *testing.T, store *models.Store, s *Script) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range s.Yard {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := store.Load(t.Context(), dir, models.LoadOptions{Now: received, Who: "script"}); err != nil {
		t.Fatal(err)
	}
}

// play sends the script's reads and writes what came of them.
func (s *Script) play(t *testing.T, store *models.Store, rig Rig) (string, error) {
	ctx := t.Context()
	cards := map[string]string{}
	err := store.Read(ctx, func(tx *models.Tx) error {
		codes, err := tx.Codes(ctx)
		for _, c := range codes {
			if c.Kind == "progress" {
				cards["p"+c.Key] = c.Payload
			} else if c.Key == "" {
				cards[c.Kind] = c.Payload
			} else if c.Kind == "check" || c.Kind == "problem" {
				cards[c.Kind+"-"+c.Key] = c.Payload
			} else {
				cards[c.Key] = c.Payload
			}
		}
		return err
	})
	if err != nil {
		return "", err
	}
	reads, ids := s.reads(cards)
	if err := rig.Send(ctx, reads); err != nil {
		return "", err
	}
	outcomes, err := rig.Outcomes(ctx)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for i, scan := range s.Scans {
		var said []string
		for _, id := range ids[i] {
			said = append(said, outcomes[id].Outcome+" "+outcomes[id].Code)
		}
		fmt.Fprintf(&b, "%s: %s\n", scan.Label, strings.Join(said, ", "))
	}
	for _, at := range s.Reports {
		fmt.Fprintf(&b, "at %s\n", at.Time().In(s.zone).Format("2006-01-02 15:04:05"))
		view, err := rig.View(ctx, at)
		if err != nil {
			return "", err
		}
		view.lines(&b, s.zone)
	}
	return b.String(), nil
}

// reads are the script's reads with the payloads of the yard's cards, and
// their ids by line.
func (s *Script) reads(cards map[string]string) (reads []models.ReadRow, ids [][]string) {
	n := map[string]int64{}
	for _, scan := range s.Scans {
		var line []string
		for i, word := range scan.Words {
			payload, ok := cards[word]
			if !ok {
				payload = word
			}
			n[scan.Station]++
			id := fmt.Sprintf("00000000-0000-4000-8000-%012d", len(reads)+1)
			line = append(line, id)
			reads = append(reads, models.ReadRow{ID: id, Station: scan.Station, N: n[scan.Station], At: scan.At[i], Payload: payload})
		}
		ids = append(ids, line)
	}
	return reads, ids
}
