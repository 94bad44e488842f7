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
	Text    string   `help:"Only things with this in their key or name."`
	Dpi     int      `help:"The printer's resolution: 203, 300 or 600 dots an inch." default:"300"`
	Page    string   `help:"single (a label printer), a4 (a grid of cards on a sheet) or a3 (the wall sheet)." enum:"single,a4,a3" default:"a4"`
	Small   bool     `help:"Small lot labels, 50 × 25 mm."`
	Grid    string   `help:"Columns x rows of a bought sheet of labels, such as 2x5; without it as many as fit." placeholder:"CxR"`
	GridAt  string   `help:"Where its first label begins, from the left and the top edge, in mm." placeholder:"X,Y"`
	Step    string   `help:"How far it is from label to label, across and down, in mm." placeholder:"X,Y"`
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
		var run *models.PrintRun
		err := s.Read(ctx, func(tx *models.Tx) (err error) {
			run, err = tx.PrintSheet(ctx, models.PrintAsk{
				Kind: labels.SheetKind(l.Kind), Keys: l.Keys, Hull: l.Hull, Stage: l.Stage, Text: l.Text, Small: l.Small,
				Photos: photosIn(l.Photos), Now: costing.InstantOf(e.now()),
			})
			return err
		})
		if err != nil {
			return err
		}
		if err := l.lay(run.Sheet); err != nil {
			return err
		}
		run.Options.Fonts, run.Options.Made = fonts, e.now()
		if show := progressOn(e.err); show != nil {
			run.Options.Progress = func(done, total int) { show("cards", done, total) }
		}
		var pdf bytes.Buffer // drawn outside of any transaction: it may take seconds
		pages, err := run.Write(&pdf)
		if err != nil {
			return err
		}
		write := func() error {
			if err := os.WriteFile(l.Out, pdf.Bytes(), 0o600); err != nil {
				return fmt.Errorf("the PDF cannot be written: %w", err)
			}
			return nil
		}
		err = s.Printed(ctx, run, byCommand(e), write)
		if s.ReadOnly(err) {
			fmt.Fprintln(e.err, "hulltally: the database is read-only here, so this print is not noted in it")
			err = write()
		}
		if err != nil {
			return err
		}
		word := "pages"
		if pages == 1 {
			word = "page"
		}
		fmt.Fprintf(e.out, "%s: %d %s\n", l.Out, pages, word)
		if len(run.Left) > 0 {
			fmt.Fprintf(e.out, "left out, for their code was revoked: %s\n", strings.Join(run.Left, ", "))
		}
		return nil
	})
}

// lay puts the cards on pages.
func (l *labelsCommand) lay(s *labels.Sheet) error {
	s.Options = labels.SheetOptions{DPI: l.Dpi, Start: l.Start, Copies: l.Copies, Outline: l.Outline}
	s.OnWall = labels.WallOptions{Page: labels.A4, Languages: strings.Split(l.Words, ",")}
	page := labels.A4
	switch l.Page {
	case "a3":
		page = labels.A3
		s.OnWall.Page = page
	case "single":
		if l.Grid+l.GridAt+l.Step != "" {
			return usage("--grid", errors.New("a grid needs a page: take --page a4 or a3"))
		}
		return nil
	}
	if s.Kind == labels.SheetWall {
		return nil
	}
	grid, err := labels.ParseGrid(page, s.Card(), l.Grid, l.GridAt, l.Step)
	s.Options.Grid = grid
	if err != nil {
		return usage("--grid", err)
	}
	return nil
}

// photosIn finds workers' photos in a folder; there may be none. A number that
// is no plain file name has no photo.
func photosIn(folder string) func(worker string) []byte {
	if folder == "" {
		return nil
	}
	return func(worker string) []byte {
		if worker != filepath.Base(worker) {
			return nil
		}
		for _, ending := range []string{".jpg", ".jpeg", ".png"} {
			data, err := os.ReadFile(filepath.Join(folder, worker+ending))
			if err == nil || !errors.Is(err, os.ErrNotExist) {
				return data
			}
		}
		return nil
	}
}
