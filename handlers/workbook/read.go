package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Limits bound what an uploaded workbook may hold.
type Limits struct {
	Unzipped int64 // bytes, all parts together
	Rows     int   // of a sheet
	Columns  int
	Cell     int // bytes of one cell
}

// Usual is enough for the largest price list a yard uploads.
var Usual = Limits{Unzipped: 64 << 20, Rows: 50_000, Columns: 100, Cell: 4 << 10}

// Errors of Read; what wraps them says where.
var (
	ErrNotWorkbook = errors.New("is no XLSX workbook: save it as .xlsx or as CSV")
	ErrTooLarge    = errors.New("is larger than can be taken")
)

// Read gives the sheets of a workbook as text by row, numbers as they are
// stored and not as they are shown. Formulas give the value last reckoned.
func Read(text []byte, limits Limits) ([]Sheet, error) {
	f, err := excelize.OpenReader(bytes.NewReader(text), excelize.Options{
		UnzipSizeLimit: limits.Unzipped, UnzipXMLSizeLimit: limits.Unzipped, RawCellValue: true,
	})
	if err != nil {
		if strings.Contains(err.Error(), "exceeds") {
			return nil, fmt.Errorf("the workbook %w: at most %d MB unpacked", ErrTooLarge, limits.Unzipped>>20)
		}
		return nil, fmt.Errorf("the file %w", ErrNotWorkbook)
	}
	defer f.Close()
	var sheets []Sheet
	for _, name := range f.GetSheetList() {
		s := Sheet{Name: name}
		rows, err := f.Rows(name)
		if err != nil {
			return nil, fmt.Errorf("sheet %s %w", name, ErrNotWorkbook)
		}
		for rows.Next() {
			cells, err := rows.Columns()
			if err != nil {
				return nil, errors.Join(fmt.Errorf("sheet %s, row %d cannot be read", name, len(s.Rows)+1), rows.Close())
			}
			if err := limits.check(name, len(s.Rows)+1, cells); err != nil {
				return nil, errors.Join(err, rows.Close())
			}
			s.Rows = append(s.Rows, cells)
		}
		if err := errors.Join(rows.Error(), rows.Close()); err != nil {
			return nil, fmt.Errorf("sheet %s cannot be read", name)
		}
		sheets = append(sheets, s)
	}
	return sheets, nil
}

func (l Limits) check(sheet string, row int, cells []string) error {
	if row > l.Rows {
		return fmt.Errorf("sheet %s %w: at most %d rows", sheet, ErrTooLarge, l.Rows)
	}
	if len(cells) > l.Columns {
		return fmt.Errorf("sheet %s, row %d %w: at most %d columns", sheet, row, ErrTooLarge, l.Columns)
	}
	for i, c := range cells {
		if len(c) > l.Cell {
			column, _ := excelize.ColumnNumberToName(i + 1) // i is within the limit
			return fmt.Errorf("sheet %s, cell %s%d %w: at most %d characters", sheet, column, row, ErrTooLarge, l.Cell)
		}
	}
	return nil
}
