package handlers

import (
	"io"
	"strings"
	"time"

	"hulltally/handlers/workbook"
	"hulltally/models"
)

// everyTable names all the tables of a page together.
const everyTable = "all"

// xlsxType is the media type of a workbook (ISO/IEC 29500).
const xlsxType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

// fileTypes are the media types of what tables are exported as.
var fileTypes = map[string]string{"csv": "text/csv; charset=utf-8; header=present", "xlsx": xlsxType}

// longestSheet is how many rows a sheet of a workbook may hold (a limit of the
// programs that open it), less a few for caption, head and foot.
const longestSheet = 1<<20 - 16

// exports reports whether the page is asked for as a file: then a table that
// is shown in parts is wanted whole.
func (g *ground) exports() bool { return g.query.Get("csv") != "" || g.query.Get("xlsx") != "" }

// writeWorkbook writes tables of the page, one to a sheet.
func (g *ground) writeWorkbook(w io.Writer, made time.Time, tables []*grid) error {
	sheets := make([]workbook.Sheet, len(tables))
	for i, t := range tables {
		sheets[i] = t.sheet()
		sheets[i].Caption += ". As of " + g.figures.At.String() + ", amounts in " + g.currency.Code
	}
	return writeSheets(w, made, sheets...)
}

func writeSheets(w io.Writer, made time.Time, sheets ...workbook.Sheet) error {
	for i := range sheets {
		if n := len(sheets[i].Rows); n > longestSheet {
			return models.Errorf(models.Invalid, "%d rows are more than a sheet holds: ask for fewer, or take the CSV", n)
		}
	}
	return workbook.Write(w, made, sheets...)
}

// sheet is the table as a sheet: the labels as its head, figures as numbers.
func (t *grid) sheet() workbook.Sheet {
	s := workbook.Sheet{Name: t.ID, Caption: t.Caption, Rows: valuesOf(t.Rows), Foot: valuesOf(t.Foot)}
	for i, c := range t.Columns {
		column := workbook.Column{Label: c.Label, Kind: t.kindOf(i)}
		for _, rows := range [][][]string{s.Rows, s.Foot} {
			for _, r := range rows {
				column.Places = max(column.Places, placesIn(r[i]))
			}
		}
		s.Columns = append(s.Columns, withPlaces(column))
	}
	return s
}

func valuesOf(rows []gridRow) [][]string {
	values := make([][]string, len(rows))
	for i, r := range rows {
		values[i] = make([]string, len(r.Cells))
		for j, f := range r.Cells {
			values[i][j] = f.Value
		}
	}
	return values
}

// kindOf is what a column holds: what its figures were made as, or else what
// the column says.
func (t *grid) kindOf(column int) workbook.Kind {
	for _, rows := range [][]gridRow{t.Rows, t.Foot} {
		for _, r := range rows {
			if k := r.Cells[column].kind; k != workbook.Text {
				return k
			}
		}
	}
	if t.Columns[column].Number {
		return workbook.Number
	}
	return workbook.Text
}

// placesIn counts a decimal's places.
func placesIn(v string) int {
	if i := strings.IndexByte(v, '.'); i >= 0 {
		return len(v) - i - 1
	}
	return 0
}

// withPlaces sets how many places are shown of what has that many at most: a
// share loses two by being shown in per cent.
func withPlaces(c workbook.Column) workbook.Column {
	switch c.Kind {
	case workbook.Share:
		c.Places = max(c.Places-2, 0)
	case workbook.Text, workbook.Day, workbook.Hours:
		c.Places = 0
	case workbook.Number:
	}
	return c
}

// sheet is the report as a sheet.
func (t *Table) sheet() workbook.Sheet {
	s := workbook.Sheet{Name: t.Name, Caption: t.Name + " as of " + t.At.String() + ", amounts in " + t.Currency.Code}
	if t.Period != "" {
		s.Caption += ", " + t.Period
	}
	for _, row := range t.Rows {
		cells := make([]string, len(row))
		for i, v := range row {
			cells[i] = cell(v)
		}
		s.Rows = append(s.Rows, cells)
	}
	for i, c := range t.Columns {
		column := workbook.Column{Label: c.Label}
		switch {
		case c.Share:
			column.Kind = workbook.Share
		case c.Number:
			column.Kind = workbook.Number
		}
		for _, r := range s.Rows {
			column.Places = max(column.Places, placesIn(r[i]))
		}
		s.Columns = append(s.Columns, withPlaces(column))
	}
	return s
}

// WriteXLSX writes the report as a workbook of one sheet: labels as its head,
// amounts, shares and seconds as numbers. made is the instant in its properties.
func (t *Table) WriteXLSX(w io.Writer, made time.Time) error { return writeSheets(w, made, t.sheet()) }
