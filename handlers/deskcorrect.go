package handlers

import (
	"errors"
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// asked is a correction as a form or an address asks for it.
func (s *Server) asked(v *Visit, get func(string) string) (row models.CorrectionRow, day costing.Date, err error) {
	row = models.CorrectionRow{Worker: v.Param("worker"), Kind: models.AddEntry, Target: get("target"), Why: strings.TrimSpace(get("why"))}
	err = s.onDesk(v, func(d *leaderDesk) error {
		if d.yard.Workers[row.Worker] == nil {
			return models.Errorf(models.NotFound, "there is no worker %.40q", row.Worker)
		}
		at, err := costing.ParseInstant(get("at"))
		if err != nil {
			if at, err = localInstant(get("at"), d.yard); err != nil {
				return err
			}
		}
		if at > d.now {
			return models.Errorf(models.Invalid, "that time is still to come: correct what has happened")
		}
		row.At, day = at, costing.DateOf(at, d.yard.Zone)
		switch get("do") {
		case models.AddEntry, "split":
		case models.VoidEntry:
			row.Kind = models.VoidEntry
		default:
			return models.Errorf(models.Invalid, "the form does not say what to do: use the buttons of the page")
		}
		row, err = d.tx.FreeCorrection(d.ctx, row)
		return err
	})
	if err == nil && row.Why == "" {
		err = models.Errorf(models.Invalid, "the reason is blank: say in a word or two why")
	}
	return row, day, err
}

// correctPage shows a person's day as it is and as a correction would make it.
// Nothing is entered before it is confirmed.
func (s *Server) correctPage(v *Visit) error {
	row, day, err := s.asked(v, v.Query)
	if err != nil {
		return err
	}
	opts := s.entered(v, "tried a correction", "worker "+row.Worker, row.Why)
	row.Who = opts.Who
	files, err := models.FilesOf(row)
	if err != nil {
		return err
	}
	var before, after *sheetData
	var what string
	if err := s.onDesk(v, func(d *leaderDesk) error {
		what = d.correctionWords(row)
		before, err = d.sheet(row.Worker, day)
		return err
	}); err != nil {
		return err
	}
	ctx := v.Request.Context()
	err = s.store.Try(ctx, files, opts, func(tx *models.Tx, _ *models.LoadReport) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		d := &leaderDesk{ctx: ctx, tx: tx, yard: snap.Yard, now: opts.Now, day: costing.DateOf(opts.Now, snap.Yard.Zone)}
		after, err = d.sheet(row.Worker, day)
		return err
	})
	if err != nil {
		return refusedRows(err)
	}
	return v.Page("deskcorrect.html", "Correct "+before.Name, map[string]any{
		"Before": before, "After": after, "What": what, "Row": row, "At": row.At.String(), "Back": sheetPath(row.Worker, day),
		"Same": sameRows(before.Rows, after.Rows),
	})
}

func sameRows(a, b []sheetRow) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// correct enters a confirmed correction.
func (s *Server) correct(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	row, day, err := s.asked(v, v.Form)
	if err != nil {
		return err
	}
	opts := s.entered(v, "corrected", "worker "+row.Worker, row.Why)
	row.Who = opts.Who
	if err := s.enterRows(v, opts, row); err != nil {
		var refused *models.Problems
		if errors.As(err, &refused) {
			return refusedRows(err)
		}
		return err
	}
	v.Flash("Corrected.")
	return v.Redirect(sheetPath(row.Worker, day))
}
