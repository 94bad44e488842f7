package workbook

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// Kind is what a column holds.
type Kind int

// Text is written as it stands, never as a formula; the others are real
// numbers and dates. Share is a fraction, shown in per cent. Days are given as
// ISO 8601. Hours are given as whole seconds and written as hours.
const (
	Text Kind = iota
	Number
	Share
	Day
	Hours
)

// Column is a column of a sheet.
type Column struct {
	Label  string
	Kind   Kind
	Places int // decimals shown of a number or a share
}

// Sheet is a table of a workbook: cells by row, decimals with a point. A cell
// that isn't what its column says stays text.
type Sheet struct {
	Name    string // at most 31 characters are used
	Caption string // stands over the head, where there is one
	Columns []Column
	Rows    [][]string
	Foot    [][]string // sums, set apart
}

// exactDigits is how many digits a number of a workbook holds (IEEE 754
// double); what is longer is written as text, for no digit may change.
const exactDigits = 15

// Write writes sheets as a workbook; the same sheets and instant give the same
// workbook. made is the instant in its properties.
func Write(w io.Writer, made time.Time, sheets ...Sheet) error {
	f := excelize.NewFile()
	defer f.Close()
	when := made.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Created: when, Modified: when, Creator: "Hulltally"}); err != nil {
		return err
	}
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	used := map[string]bool{}
	for i := range sheets {
		name := sheetName(sheets[i].Name, used)
		if i == 0 {
			err = f.SetSheetName(f.GetSheetName(0), name)
		} else {
			_, err = f.NewSheet(name)
		}
		if err != nil {
			return err
		}
		if err := writeSheet(f, name, &sheets[i], styles); err != nil {
			return fmt.Errorf("sheet %s: %w", name, err)
		}
	}
	return f.Write(w)
}

// sheetName makes a name that a workbook may hold, once.
func sheetName(name string, used map[string]bool) string {
	const longest = 31
	name = strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) || r < ' ' {
			return ' '
		}
		return r
	}, name), " '")
	if name == "" {
		name = "Table"
	}
	for n := 1; ; n++ {
		end := ""
		if n > 1 {
			end = " " + strconv.Itoa(n)
		}
		short := name
		for utf8.RuneCountInString(short)+len(end) > longest {
			_, size := utf8.DecodeLastRuneInString(short)
			short = short[:len(short)-size]
		}
		if key := strings.ToLower(short + end); !used[key] {
			used[key] = true
			return short + end
		}
	}
}

func writeSheet(f *excelize.File, name string, s *Sheet, styles *styles) error {
	out, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	head := 1
	if s.Caption != "" {
		head = 3
	}
	for i, c := range s.Columns {
		if err := out.SetColWidth(i+1, i+1, widthOf(s, i, c)); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{
		Freeze: true, XSplit: 1, YSplit: head, TopLeftCell: "B" + strconv.Itoa(head+1), ActivePane: "bottomRight",
	}); err != nil {
		return err
	}
	row := 1
	put := func(cells []any) error {
		at, err := excelize.CoordinatesToCellName(1, row)
		if err != nil {
			return err
		}
		row++
		return out.SetRow(at, cells)
	}
	if s.Caption != "" {
		if err := put([]any{excelize.Cell{StyleID: styles.caption, Value: s.Caption}}); err != nil {
			return err
		}
		row++
	}
	labels := make([]any, len(s.Columns))
	for i, c := range s.Columns {
		labels[i] = excelize.Cell{StyleID: styles.head(c.Kind), Value: c.Label}
	}
	if err := put(labels); err != nil {
		return err
	}
	for part, rows := range [][][]string{s.Rows, s.Foot} {
		for _, r := range rows {
			cells := make([]any, len(s.Columns))
			for i, c := range s.Columns {
				if i < len(r) {
					cells[i] = styles.cell(c, r[i], part == 1)
				}
			}
			if err := put(cells); err != nil {
				return err
			}
		}
	}
	return out.Flush()
}

// widthOf is a column's width in characters, by what its first rows hold.
func widthOf(s *Sheet, i int, c Column) float64 {
	const narrowest, widest, looked = 9, 60, 200
	n := utf8.RuneCountInString(c.Label)
	for _, r := range s.Rows[:min(len(s.Rows), looked)] {
		if i < len(r) {
			n = max(n, utf8.RuneCountInString(r[i]))
		}
	}
	return float64(min(max(n+2, narrowest), widest))
}

// digits counts those of a decimal that matter.
func digits(v string) int {
	return len(strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(v), "0"))
}
