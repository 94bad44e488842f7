package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

type labelsCommand struct {
	Kind    string   `arg:"" help:"job, badge, lot, wall, crew, indirect or stage (a stage's whole set)." enum:"job,badge,lot,wall,crew,indirect,stage"`
	Keys    []string `arg:"" optional:"" help:"Which jobs, workers, lots, crews or indirect codes; without any, all."`
	Out     string   `help:"The PDF to write." required:"" placeholder:"FILE"`
	Hull    string   `help:"Only jobs of this hull."`
	Stage   string   `help:"Only jobs of this stage."`
	Dpi     int      `help:"The printer's resolution: 203, 300 or 600 dots an inch." default:"300"`
	Page    string   `help:"single (a label printer), a4 (a grid of cards on a sheet) or a3 (the wall sheet)." enum:"single,a4,a3" default:"a4"`
	Small   bool     `help:"Small lot labels, 50 × 25 mm."`
	Start   int      `help:"The first free cell of a used sheet, from 1, row by row." default:"1"`
	Copies  int      `help:"Copies of each card." default:"1"`
	Outline bool     `help:"Draw each card's edge, for cutting."`
	Words   string   `help:"Languages of the wall sheet, the first in large type." default:"en"`
	Fonts   []string `help:"Folders of fonts for names in other scripts." placeholder:"DIR"`
	Photos  string   `help:"A folder of photos named by worker number (.jpg, .png)." placeholder:"DIR"`
}

// Run prints cards, badges and labels.
func (l *labelsCommand) Run(ctx context.Context, c *cli, e env) error {
	fonts, err := labels.LoadFonts(l.Fonts...)
	if err != nil {
		return err
	}
	return c.withStore(ctx, func(s *models.Store) error {
		return s.InTx(ctx, func(tx *models.Tx) error {
			now := costing.InstantOf(e.now())
			sheet, err := tx.PrintSheet(ctx, models.PrintAsk{
				Kind: labels.SheetKind(l.Kind), Keys: l.Keys, Hull: l.Hull, Stage: l.Stage, Small: l.Small, Photos: l.photo, Now: now,
			})
			if err != nil {
				return err
			}
			l.lay(sheet)
			sheet.Options.Fonts, sheet.Options.Made = fonts, e.now()
			if show := progressOn(e.err); show != nil {
				sheet.Options.Progress = func(done, total int) { show("cards", done, total) }
			}
			var pdf bytes.Buffer
			pages, err := sheet.Write(&pdf)
			if err != nil {
				return err
			}
			if err := os.WriteFile(l.Out, pdf.Bytes(), 0o600); err != nil {
				return fmt.Errorf("the PDF cannot be written: %w", err)
			}
			fmt.Fprintf(e.out, "%s: %d pages\n", l.Out, pages)
			return tx.Printed(ctx, sheet, who(), now)
		})
	})
}

// lay puts the cards on pages.
func (l *labelsCommand) lay(s *labels.Sheet) {
	s.Options = labels.SheetOptions{DPI: l.Dpi, Start: l.Start, Copies: l.Copies, Outline: l.Outline}
	s.OnWall = labels.WallOptions{Page: labels.A4, Languages: strings.Split(l.Words, ",")}
	switch l.Page {
	case "a3":
		s.OnWall.Page = labels.A3
		s.Options.Grid = labels.GridOn(labels.A3, s.Card())
	case "a4":
		s.Options.Grid = labels.GridOn(labels.A4, s.Card())
	}
}

// photo finds a worker's photo. A number that is no plain file name has none.
func (l *labelsCommand) photo(worker string) []byte {
	if l.Photos == "" || worker != filepath.Base(worker) {
		return nil
	}
	for _, ending := range []string{".jpg", ".jpeg", ".png"} {
		data, err := os.ReadFile(filepath.Join(l.Photos, worker+ending))
		if err == nil || !errors.Is(err, os.ErrNotExist) {
			return data
		}
	}
	return nil
}
