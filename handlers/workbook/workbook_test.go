package workbook_test

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"hulltally/handlers/workbook"
)

func write(t testing.TB, sheets ...workbook.Sheet) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, workbook.Write(&b, time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC), sheets...))
	return b.Bytes()
}

var costs = workbook.Sheet{
	Name: "Cost/by stage", Caption: "Cost by stage",
	Columns: []workbook.Column{
		{Label: "Stage"},
		{Label: "Cost, EUR", Kind: workbook.Number, Places: 2},
		{Label: "Share", Kind: workbook.Share, Places: 1},
		{Label: "Day", Kind: workbook.Day},
	},
	Rows: [][]string{
		{"=1+1", "1234.50", "0.125", "2026-03-01"},
		{"FAIR", "-0.01", "", "not a day"},
		{"LONG", "12345678901234.567", "1", "2026-03-02"},
	},
	Foot: [][]string{{"Sum", "1234.49"}},
}

// TestNumbersAreNumbers looks at the file itself: types and frozen panes.
func TestNumbersAreNumbers(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(write(t, costs)))
	require.NoError(t, err)
	name := f.GetSheetName(0)
	assert.Equal(t, "Cost by stage", name)
	kind := func(cell string) excelize.CellType {
		k, err := f.GetCellType(name, cell)
		require.NoError(t, err)
		return k
	}
	shown := func(cell string) string {
		v, err := f.GetCellValue(name, cell)
		require.NoError(t, err)
		return v
	}
	assert.Equal(t, "1,234.50", shown("B4"))
	assert.Equal(t, "12.5%", shown("C4"))
	assert.Equal(t, "2026-03-01", shown("D4"))
	assert.NotEqual(t, excelize.CellTypeInlineString, kind("B4"), "a number")
	assert.Equal(t, excelize.CellTypeInlineString, kind("A4"), "text that looks like a formula is text")
	formula, err := f.GetCellFormula(name, "A4")
	require.NoError(t, err)
	assert.Empty(t, formula)
	assert.Equal(t, "12345678901234.567", shown("B6"), "more digits than a number holds stay text")
	panes, err := f.GetPanes(name)
	require.NoError(t, err)
	assert.True(t, panes.Freeze && panes.YSplit == 3)
}

func TestSameSheetsSameFile(t *testing.T) {
	assert.Equal(t, write(t, costs), write(t, costs))
}

func TestNamesOfSheets(t *testing.T) {
	long := strings.Repeat("Laminé ", 9)
	got, err := workbook.Read(write(t, workbook.Sheet{Name: long}, workbook.Sheet{Name: long}, workbook.Sheet{Name: "''"}), workbook.Usual)
	require.NoError(t, err)
	require.Len(t, got, 3)
	assert.NotEqual(t, got[0].Name, got[1].Name)
	assert.Equal(t, "Table", got[2].Name)
}

func TestReadGivesWhatIsStored(t *testing.T) {
	got, err := workbook.Read(write(t, costs), workbook.Usual)
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.Equal(t, []string{"=1+1", "1234.5", "0.125", "46082"}, got[0].Rows[3])
}

func TestHostileWorkbooks(t *testing.T) {
	for _, text := range [][]byte{nil, []byte("PK"), []byte("a,b\n1,2\n"), write(t, costs)[:200]} {
		_, err := workbook.Read(text, workbook.Usual)
		require.ErrorIs(t, err, workbook.ErrNotWorkbook)
	}
	var bomb bytes.Buffer
	z := zip.NewWriter(&bomb)
	for _, part := range []string{"[Content_Types].xml", "xl/workbook.xml", "xl/worksheets/sheet1.xml"} {
		w, err := z.Create(part)
		require.NoError(t, err)
		_, err = w.Write(bytes.Repeat([]byte(" "), 8<<20))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	small := workbook.Usual
	small.Unzipped = 1 << 20
	_, err := workbook.Read(bomb.Bytes(), small)
	require.ErrorIs(t, err, workbook.ErrTooLarge)

	for what, limits := range map[string]workbook.Limits{
		"rows": {64 << 20, 3, 100, 100}, "columns": {64 << 20, 100, 3, 100}, "cell": {64 << 20, 100, 100, 5},
	} {
		_, err := workbook.Read(write(t, costs), limits)
		require.ErrorIs(t, err, workbook.ErrTooLarge, what)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("PK\x03\x04"))
	f.Add(write(f, costs))
	f.Fuzz(func(t *testing.T, text []byte) {
		limits := workbook.Usual
		limits.Unzipped = 4 << 20
		if sheets, err := workbook.Read(text, limits); err != nil && sheets != nil {
			t.Error("sheets beside an error")
		}
	})
}
