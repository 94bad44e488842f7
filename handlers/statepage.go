package handlers

import (
	"fmt"
	"math/big"
	"net/url"
	"strings"

	"hulltally/costing"
	"hulltally/costing/forecast"
	"hulltally/models"
)

// staters may state a forecast.
var staters = Roles{models.Owner, models.Estimator}

// stateForecast takes in what an estimator says is still to be spent on an
// element of a hull's stage, with the reason. The amount spent by then goes with
// it, so that what is spent later comes off it.
func (s *Server) stateForecast(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull, stage := v.Param("hull"), v.Param("stage")
	row := models.StatedRow{
		Hull: hull, Stage: stage, Element: v.Form("element"), Purpose: v.Form("purpose"), At: costing.InstantOf(s.now()),
		Who: v.Caller.Name(), Why: strings.TrimSpace(v.Form("why")),
	}
	if row.Purpose == "" {
		row.Purpose = string(costing.Build)
	}
	if row.Why == "" {
		return models.Errorf(models.Invalid, "why: say what the amount rests on, so that it can be judged later")
	}
	if amount := strings.TrimSpace(v.Form("to_complete")); amount != "" {
		m, err := costing.ParseDecimal(amount)
		if err != nil {
			return models.Errorf(models.Invalid, "to complete: %v", err)
		}
		d := models.Decimal(m)
		row.ToComplete = &d
	}
	ctx := v.Request.Context()
	if err := s.store.Read(ctx, func(tx *models.Tx) error {
		f, err := tx.Figures(ctx, row.At)
		if err != nil {
			return err
		}
		if f.Yard.Hulls[hull] == nil || f.Yard.Stages[stage] == nil {
			return models.Errorf(models.NotFound, "there is no stage %.60q of a hull %.60q", stage, hull)
		}
		cost, err := f.Cost()
		if err != nil {
			return err
		}
		spent := models.Decimal(0)
		for i := range cost.Cells {
			c := &cost.Cells[i]
			if c.Hull == hull && c.Stage == stage && string(c.Element) == row.Element && c.Apart == costing.Purpose(row.Purpose).Apart() {
				v, err := costing.ParseDecimal(f.Yard.Currency.Format(c.Actual))
				if err != nil {
					return err
				}
				spent = models.Decimal(v)
			}
		}
		row.Spent = &spent
		return nil
	}); err != nil {
		return err
	}
	files, err := models.FilesOf(row)
	if err != nil {
		return err
	}
	by := s.deed(v)
	if _, err := s.store.Enter(ctx, files, models.LoadOptions{
		Now: by.At, Who: by.Who, Source: by.Source, Did: "stated a forecast", Subject: "hull " + hull + ", " + stage + ", " + row.Element, Why: row.Why,
	}); err != nil {
		return err
	}
	v.Flash("Stated.")
	return v.Redirect("/hull/" + pathEscape(hull) + "/stage/" + pathEscape(stage) + "#forecast")
}

// reasonOf says why a method was chosen for a cell.
func (g *ground) reasonOf(c *forecast.Cell) string {
	switch {
	case c.Chosen == forecast.Stated:
		return fmt.Sprintf("stated by %s on %s: %s", c.Said.Who, costing.DateOf(c.Said.At, g.yard.Zone), c.Said.Why)
	case c.Progress.Cmp(big.NewRat(1, 1)) >= 0:
		return "the stage is done"
	case c.Chosen == forecast.InLumps:
		return "it comes in lumps, ahead of the work"
	case c.Apart && c.Estimate == 0:
		return "nobody planned it, so nothing more of it is foreseen"
	case c.Chosen == forecast.AtEfficiency:
		return "15 % or more is done, so the efficiency so far says something"
	}
	return "less than 15 % is done: too early for the efficiency so far"
}

func pathEscape(s string) string { return url.PathEscape(s) }

// ratioOf is a / b; nil of nothing.
func ratioOf(a, b int64) *big.Rat {
	if b == 0 {
		return nil
	}
	return big.NewRat(a, b)
}
