package handlers

import (
	"encoding/csv"
	"io"
	"net/url"

	"hulltally/models"
)

// grid is a table of a page; the same rows make its CSV.
type grid struct {
	ID, Caption string
	Columns     []gridColumn
	Rows        []gridRow
	Foot        []gridRow // sums; not in the CSV, where they would count twice
	Empty       string    // said where there is no row
	CSV         string    // the address of the CSV
}

// gridColumn is a column: its name in the CSV and on the page.
type gridColumn struct {
	Key, Label string
	Number     bool
}

// gridRow is a row; its first cell names it.
type gridRow struct {
	ID, Class string
	Cells     []figure
}

func col(key, label string) gridColumn    { return gridColumn{Key: key, Label: label} }
func numCol(key, label string) gridColumn { return gridColumn{Key: key, Label: label, Number: true} }

func (t *grid) add(cells ...figure) *gridRow {
	t.Rows = append(t.Rows, gridRow{Cells: cells})
	return &t.Rows[len(t.Rows)-1]
}

func (t *grid) foot(cells ...figure) { t.Foot = append(t.Foot, gridRow{Cells: cells}) }

// writeCSV writes the rows under a header of keys. Text that a spreadsheet
// would take for a formula gets an apostrophe before it.
func (t *grid) writeCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	record := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		record[i] = c.Key
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, row := range t.Rows {
		for i, c := range t.Columns {
			record[i] = row.Cells[i].Value
			if !c.Number {
				record[i] = plainText(record[i])
			}
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// csvAddress is the address of this page's table as CSV.
func csvAddress(u *url.URL, table string) string {
	q := u.Query()
	q.Del("page")
	q.Set("csv", table)
	return u.EscapedPath() + "?" + q.Encode()
}

// answerCSV answers with one table of a page, and notes that it went out.
func (s *Server) answerCSV(v *Visit, name string, grids []*grid) error {
	for _, t := range grids {
		if t.ID != name {
			continue
		}
		if err := s.store.Note(v.Request.Context(), s.deed(v), "exported", "table "+name+" of "+v.Request.URL.Path, v.Request.URL.RawQuery); err != nil {
			return err
		}
		v.Header("Content-Type", "text/csv; charset=utf-8; header=present")
		v.Header("Content-Disposition", `attachment; filename="`+name+`.csv"`)
		v.Status(200)
		return t.writeCSV(v.Writer)
	}
	return models.Errorf(models.NotFound, "this page has no table %.40q", name)
}
