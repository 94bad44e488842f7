package handlers

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"hulltally/handlers/workbook"
	"hulltally/models"
)

// listLimits bound an uploaded list of estimate lines.
var listLimits = workbook.Limits{Unzipped: 16 << 20, Rows: 5_000, Columns: 60, Cell: 2_000}

// mostUpload is the largest list that is taken, in bytes.
const mostUpload = 2 << 20

// sentList is a table somebody uploaded: the rows of one sheet.
type sentList struct {
	Sheet string // empty: a CSV file
	Rows  [][]string
}

// cell names a cell as people see it.
func (l *sentList) cell(row, column int) string {
	at := columnName(column) + strconv.Itoa(row+1)
	if l.Sheet == "" {
		return "cell " + at
	}
	return "sheet " + l.Sheet + ", cell " + at
}

// columnName is A, B, … Z, AA of a column counted from 0.
func columnName(n int) string {
	name := ""
	for n++; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// upload reads the file of a multipart form, and its other fields.
func (v *Visit) upload() (text []byte, fields map[string]string, err error) {
	form, err := v.Request.MultipartReader()
	if err != nil {
		return nil, nil, errMediaType
	}
	fields = map[string]string{}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return text, fields, nil
		}
		if err != nil {
			return nil, nil, uploadFault(err)
		}
		if text, err = readPart(part, text, fields); err != nil {
			return nil, nil, uploadFault(err)
		}
	}
}

func readPart(part *multipart.Part, text []byte, fields map[string]string) ([]byte, error) {
	limit := int64(mostUpload)
	if part.FileName() == "" && part.FormName() != "file" {
		limit = 4 << 10
	}
	b, err := io.ReadAll(io.LimitReader(part, limit+1))
	if err != nil {
		return text, err
	}
	if int64(len(b)) > limit {
		return text, models.Errorf(models.Invalid, "the file is larger than %d MB: send fewer lines at once", mostUpload>>20)
	}
	if part.FormName() == "file" {
		return b, nil
	}
	if len(fields) > 100 {
		return text, models.Errorf(models.Invalid, "the form has too many fields: send it again from the page")
	}
	if err := readable(string(b)); err != nil {
		return text, err
	}
	fields[part.FormName()] = string(b)
	return text, nil
}

func uploadFault(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) || models.KindOf(err) != "" {
		return err
	}
	return models.Errorf(models.Invalid, "the form cannot be read: send it again from the page")
}

// readList reads a workbook or a CSV. Of a workbook it takes the sheet named,
// or else the first that has rows.
func readList(text []byte, sheet string) (*sentList, error) {
	if len(text) == 0 {
		return nil, models.Errorf(models.Invalid, "choose a file: XLSX or CSV")
	}
	if bytes.HasPrefix(text, []byte("PK")) {
		sheets, err := workbook.Read(text, listLimits)
		if err != nil {
			return nil, models.Errorf(models.Invalid, "%v", err)
		}
		for _, s := range sheets {
			if s.Name == sheet || sheet == "" && len(s.Rows) > 0 {
				return checkedList(&sentList{s.Name, s.Rows})
			}
		}
		return nil, models.Errorf(models.Invalid, "the workbook has no sheet %.40q with rows", sheet)
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !utf8.Valid(text) {
		return nil, models.Errorf(models.Invalid, "the file is neither XLSX nor UTF-8 text: save it as .xlsx or as CSV UTF-8")
	}
	return readCSV(text)
}

func readCSV(text []byte) (*sentList, error) {
	in := csv.NewReader(bytes.NewReader(text))
	in.FieldsPerRecord, in.LazyQuotes = -1, false
	if first, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		in.Comma = ';'
	}
	l := &sentList{}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return checkedList(l)
		}
		if err != nil {
			return nil, models.Errorf(models.Invalid, "the CSV cannot be read: %v", err)
		}
		at, _ := in.FieldPos(0)
		for len(l.Rows) < at-1 && len(l.Rows) < listLimits.Rows { // blank lines, so that cells keep their place
			l.Rows = append(l.Rows, nil)
		}
		l.Rows = append(l.Rows, row)
	}
}

func checkedList(l *sentList) (*sentList, error) {
	if len(l.Rows) > listLimits.Rows {
		return nil, models.Errorf(models.Invalid, "the list has more than %d rows: send it in parts", listLimits.Rows)
	}
	for i, row := range l.Rows {
		if len(row) > listLimits.Columns {
			return nil, models.Errorf(models.Invalid, "row %d has more than %d columns: take the others away", i+1, listLimits.Columns)
		}
		for j, c := range row {
			if len(c) > listLimits.Cell {
				return nil, models.Errorf(models.Invalid, "%s is longer than %d characters", l.cell(i, j), listLimits.Cell)
			}
			if err := readable(c); err != nil {
				return nil, models.Errorf(models.Invalid, "%s: %v", l.cell(i, j), err)
			}
		}
	}
	return l, nil
}

// text is the list as CSV, to go along in a form.
func (l *sentList) text() string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	for _, row := range l.Rows {
		if len(row) == 0 {
			row = []string{" "} // a line that a reader doesn't pass by
		}
		_ = w.Write(row) // a builder takes everything
	}
	w.Flush()
	return b.String()
}
