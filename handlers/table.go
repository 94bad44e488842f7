package handlers

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math/big"
	"strconv"
	"strings"
	"text/tabwriter"

	"hulltally/costing"
)

// Column is one column of a report. A dot in the key nests it in JSON.
type Column struct {
	Key   string
	Label string
	// Number says that the column is aligned to the right.
	Number bool
	// Sparse columns are left out of JSON where a row has nothing there.
	Sparse bool
	// Money says that the column tells wages, prices, cost or margin, which not
	// everybody may see.
	Money bool
	// Share says that the numbers are fractions.
	Share bool
}

// Table is a report: rows of cells that are strings, int64 (seconds) or nil.
// Amounts and quantities are decimal strings.
type Table struct {
	Name     string
	At       costing.Instant
	Currency costing.Currency
	Period   string
	Columns  []Column
	Rows     [][]any
	Note     string // what has to be known to read it; in JSON and text, and on the page
}

func text(key, label string) Column   { return Column{Key: key, Label: label} }
func number(key, label string) Column { return Column{Key: key, Label: label, Number: true} }
func money(key, label string) Column {
	return Column{Key: key, Label: label, Number: true, Money: true}
}

func shareOf(c Column) Column { c.Share = true; return c }

func sparseMoney(key, label string) Column {
	return Column{Key: key, Label: label, Number: true, Sparse: true, Money: true}
}

// places is how many decimals a share is shown with.
const places = 4

// share writes a fraction with four decimals, or nil where there is none.
func share(r *big.Rat) any {
	if r == nil {
		return nil
	}
	v, err := costing.RoundRat(new(big.Rat).Mul(r, big.NewRat(10_000, 1)))
	if err != nil {
		return nil
	}
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	return fmt.Sprintf("%s%d.%0*d", sign, v/10_000, places, v%10_000)
}

// WriteJSON writes the answer of yard-files: {at, currency, rows}.
func (t *Table) WriteJSON(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, `{"report":%s,"at":%s,"currency":%s`, quote(t.Name), quote(t.At.String()), quote(t.Currency.Code))
	if t.Period != "" {
		fmt.Fprintf(&b, `,"period":%s`, quote(t.Period))
	}
	if t.Note != "" {
		fmt.Fprintf(&b, `,"note":%s`, quote(t.Note))
	}
	b.WriteString(`,"rows":[`)
	for i, row := range t.Rows {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n")
		t.writeRow(&b, row)
	}
	b.WriteString("\n]}\n")
	_, err := w.Write(b.Bytes())
	return err
}

func (t *Table) writeRow(b *bytes.Buffer, row []any) {
	b.WriteByte('{')
	group, first := "", true
	for i, c := range t.Columns {
		if c.Sparse && row[i] == nil {
			continue
		}
		parent, key, nested := strings.Cut(c.Key, ".")
		if !nested {
			parent, key = "", c.Key
		}
		if parent != group {
			if group != "" {
				b.WriteByte('}')
				first = false
			}
			if parent != "" {
				comma(b, first)
				b.WriteString(quote(parent) + ":{")
				first = true
			}
			group = parent
		}
		comma(b, first)
		first = false
		b.WriteString(quote(key) + ":" + quote(row[i]))
	}
	if group != "" {
		b.WriteByte('}')
	}
	b.WriteByte('}')
}

func comma(b *bytes.Buffer, first bool) {
	if !first {
		b.WriteByte(',')
	}
}

func quote(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return "null"
	}
	return string(b)
}

// WriteCSV writes the rows under a header of keys. Text that a spreadsheet
// would take for a formula gets an apostrophe before it.
func (t *Table) WriteCSV(w io.Writer) error {
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
			record[i] = cell(row[i])
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

func plainText(s string) string {
	if t := strings.TrimLeft(s, " "); t != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(t)[0]) {
		return "'" + s
	}
	return s
}

func cell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return v
	case int64:
		return strconv.FormatInt(v, 10)
	}
	return fmt.Sprint(v)
}

// WriteText writes the table for a terminal: numbers to the right, columns
// without anything in them left out.
func (t *Table) WriteText(w io.Writer) error {
	fmt.Fprintf(w, "%s as of %s, amounts in %s\n\n", t.Name, t.At, t.Currency.Code)
	var show []int
	for i, c := range t.Columns {
		used := !c.Sparse
		for _, row := range t.Rows {
			used = used || row[i] != nil
		}
		if used {
			show = append(show, i)
		}
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	line := func(cellOf func(i int) string) {
		for _, i := range show {
			fmt.Fprint(tw, cellOf(i), "\t")
		}
		fmt.Fprintln(tw)
	}
	widths := map[int]int{}
	for _, i := range show {
		widths[i] = len([]rune(t.Columns[i].Label))
		for _, row := range t.Rows {
			widths[i] = max(widths[i], len([]rune(cell(row[i]))))
		}
	}
	left := func(i int, s string) string { // tabwriter aligns all cells to the right
		if t.Columns[i].Number {
			return s
		}
		return s + strings.Repeat(" ", widths[i]-len([]rune(s)))
	}
	line(func(i int) string { return left(i, t.Columns[i].Label) })
	for _, row := range t.Rows {
		line(func(i int) string { return left(i, cell(row[i])) })
	}
	if t.Note != "" {
		defer fmt.Fprintf(w, "\n%s\n", t.Note)
	}
	return tw.Flush()
}
