package handlers

import (
	"bytes"
	"context"
	"net/http"
	"strconv"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

// sheetsAtOnce bounds how many sheets are drawn at a time: reads come first.
const sheetsAtOnce = 2

// sheetPolicy lets a picture of a sheet load and run nothing, should somebody
// open it as a page.
const sheetPolicy = "default-src 'none'; frame-ancestors 'none'; sandbox"

// filled is the sheet that a form asks for, ready to be drawn.
func (s *Server) filled(ctx context.Context, f *printForm) (*models.PrintRun, error) {
	ask := f.ask()
	ask.Photos, ask.Now = s.photos, costing.InstantOf(s.now())
	var run *models.PrintRun
	err := s.store.Read(ctx, func(tx *models.Tx) (err error) {
		run, err = tx.PrintSheet(ctx, ask)
		return err
	})
	if err != nil {
		return nil, err
	}
	if err := f.lay(run.Sheet); err != nil {
		return nil, models.Errorf(models.Invalid, "%v", err)
	}
	run.Options.Fonts, run.Options.Made = s.fonts, s.now()
	return run, nil
}

// draw runs f when there is room for one more sheet. What is wrong with a
// sheet is for whoever prints it to put right.
func (s *Server) draw(ctx context.Context, f func() (pages int, err error)) (pages int, err error) {
	select {
	case s.drawing <- struct{}{}:
	case <-ctx.Done():
		return 0, ctx.Err()
	}
	defer func() { <-s.drawing }()
	if pages, err = f(); err != nil {
		return pages, models.Errorf(models.Invalid, "%v", err)
	}
	return pages, nil
}

// preview draws a page of the sheet as a picture.
func (s *Server) preview(ctx context.Context, run *models.PrintRun, page int) (svg []byte, pages int, err error) {
	var b bytes.Buffer
	pages, err = s.draw(ctx, func() (int, error) { return run.Preview(&b, page) })
	return b.Bytes(), pages, err
}

// printPicture answers with a page of a sheet as a picture.
func (s *Server) printPicture(v *Visit) error {
	f, err := readPrint(v.Request.URL.Query(), printsFor[v.Caller.Role])
	if err != nil {
		return err
	}
	ctx := v.Request.Context()
	run, err := s.filled(ctx, f)
	if err != nil {
		return err
	}
	svg, _, err := s.preview(ctx, run, f.Show)
	if err != nil {
		return err
	}
	v.Header("Content-Security-Policy", sheetPolicy)
	v.Data(http.StatusOK, "image/svg+xml", svg)
	return nil
}

// proofSheet answers with the sheet as PDF to look at: it counts as no print.
func (s *Server) proofSheet(v *Visit) error { return s.printPDF(v, false) }

// printSheet answers with the sheet as PDF to print, which is noted.
func (s *Server) printSheet(v *Visit) error { return s.printPDF(v, true) }

func (s *Server) printPDF(v *Visit, counts bool) error {
	f, err := readPrint(v.Request.URL.Query(), printsFor[v.Caller.Role])
	if err != nil {
		return s.printFault(v, f, err)
	}
	if !f.Chosen() {
		return s.printFault(v, f, models.Errorf(models.Invalid, "nothing is selected: say what to print"))
	}
	ctx := v.Request.Context()
	run, err := s.filled(ctx, f)
	if err != nil {
		return s.printFault(v, f, err)
	}
	var pdf bytes.Buffer
	pages, err := s.draw(ctx, func() (int, error) { return run.Write(&pdf) })
	if err == nil && counts {
		err = s.store.Printed(ctx, run, s.deed(v), nil)
	}
	if err != nil {
		return s.printFault(v, f, err)
	}
	how := "inline"
	if counts {
		how = "attachment"
	}
	v.Header("Content-Disposition", how+`; filename="`+pdfName(f.Kind)+`.pdf"`)
	v.Header("Content-Security-Policy", sheetPolicy)
	v.Header("X-Pages", strconv.Itoa(pages))
	v.Data(http.StatusOK, "application/pdf", pdf.Bytes())
	return nil
}

func pdfName(kind labels.SheetKind) string {
	switch kind {
	case labels.SheetWall, labels.SheetStage:
		return string(kind)
	}
	return string(kind) + "s"
}
