package handlers

import (
	"bytes"
	"io"
	"net/http"
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// packPDF answers with the pack as a PDF.
func (s *Server) packPDF(v *Visit) error {
	return s.packFile(v, "application/pdf", ".pdf", (*Pack).WritePDF)
}

// packXLSX answers with the pack as a workbook.
func (s *Server) packXLSX(v *Visit) error {
	return s.packFile(v, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", ".xlsx", (*Pack).WriteXLSX)
}

func (s *Server) packFile(v *Visit, kind, ending string, write func(*Pack, io.Writer) error) error {
	p, err := costing.ParsePeriod(v.Query("period"))
	if err != nil {
		return models.Errorf(models.Invalid, "period: %v", err)
	}
	ctx := v.Request.Context()
	pack, err := MakePack(ctx, s.store, p, costing.InstantOf(s.now()), nil)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(pack, &b); err != nil {
		return err
	}
	if err := s.store.Note(ctx, s.deed(v), "packed", p.String(), strings.TrimPrefix(ending, ".")); err != nil {
		return err
	}
	v.Header("Content-Disposition", `attachment; filename="`+pack.Name()+ending+`"`)
	v.Data(http.StatusOK, kind, b.Bytes())
	return nil
}
