package handlers

import (
	"bytes"
	"encoding/csv"
	"io"
	"net/http"
	"net/url"

	"hulltally/models"
)

// grid is a table of a page; the same rows make its CSV and its workbook.
type grid struct {
	ID, Caption string
	Columns     []gridColumn
	Rows        []gridRow
	Foot        []gridRow // sums; not in the CSV, where they would count twice
	Empty       string    // said where there is no row
	CSV, XLSX   string    // the addresses of the same rows as a file
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

// fileAddress is the address of this page's table as a file: csv or xlsx.
func fileAddress(u *url.URL, as, table string) string {
	q := u.Query()
	q.Del("page")
	q.Set(as, table)
	return u.EscapedPath() + "?" + q.Encode()
}

// answerFile answers with a table of a page as a file, as a workbook also with
// all of them, and notes that it went out.
func (s *Server) answerFile(v *Visit, as, name string, g *ground) error {
	tables := g.grids
	if as != "xlsx" || name != everyTable {
		tables = nil
		for _, t := range g.grids {
			if t.ID == name {
				tables = append(tables, t)
			}
		}
	}
	if len(tables) == 0 {
		return models.Errorf(models.NotFound, "this page has no table %.40q", name)
	}
	var b bytes.Buffer // whole before anything is noted or goes out
	if as == "csv" {
		if err := tables[0].writeCSV(&b); err != nil {
			return err
		}
	} else if err := g.writeWorkbook(&b, s.now(), tables); err != nil {
		return err
	}
	if err := s.store.Note(v.Request.Context(), s.deed(v), "exported", "table "+name+" of "+v.Request.URL.Path, v.Request.URL.RawQuery); err != nil {
		return err
	}
	v.Header("Content-Disposition", `attachment; filename="`+name+`.`+as+`"`)
	v.Data(http.StatusOK, fileTypes[as], b.Bytes())
	return nil
}
