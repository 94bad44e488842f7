package models

import (
	"context"
	"fmt"
	"strings"

	"hulltally/labels"
)

// printedAs is what a sheet is called in the logbook.
var printedAs = map[labels.SheetKind]string{
	labels.SheetBadges: "badges", labels.SheetCrews: "crew cards", labels.SheetJobs: "job cards", labels.SheetLots: "lot labels",
	labels.SheetIndirects: "indirect codes", labels.SheetWall: "wall sheet", labels.SheetStage: "job cards of a stage",
}

// Printed notes that a run was printed, for the count of reprints and in the
// logbook, and hands it over: if deliver fails, nothing is noted. A run of which
// a code was revoked since it was filled is refused.
func (s *Store) Printed(ctx context.Context, run *PrintRun, by Deed, deliver func() error) error {
	return s.InTx(ctx, func(tx *Tx) error {
		snap, err := tx.Snapshot(ctx)
		if err != nil {
			return err
		}
		payloads := run.Payloads()
		copies := max(1, run.Options.Copies)
		n := len(payloads)
		ats, whos, counts := make([]int64, n), make([]string, n), make([]int64, n)
		for i, payload := range payloads {
			if code, ok := snap.codes[payload]; !ok || code.RevokedMs != nil {
				return Errorf(Conflict, "the code %s was revoked just now: print again", payload)
			}
			ats[i], whos[i], counts[i] = int64(by.At), by.Who, int64(copies)
		}
		if err := tx.Insert(ctx, "prints", "", Column{"payload", payloads}, Column{"at_ms", ats}, Column{"who", whos}, Column{"copies", counts}); err != nil {
			return err
		}
		detail := fmt.Sprintf("%d: %s", n, strings.Join(run.Keys, ", "))
		if copies > 1 {
			detail = fmt.Sprintf("%d, %d copies of each: %s", n, copies, strings.Join(run.Keys, ", "))
		}
		if err := note(tx.DB, by, "printed", printedAs[run.Kind], detail); err != nil {
			return err
		}
		if deliver == nil {
			return nil
		}
		return deliver()
	})
}
