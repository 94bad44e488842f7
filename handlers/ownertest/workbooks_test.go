package ownertest

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"hulltally/handlers"
	"hulltally/models"
)

// opened is a workbook as another library reads it.
func (v *visitor) opened(path string) *excelize.File {
	v.t.Helper()
	f, err := excelize.OpenReader(strings.NewReader(v.page(path)))
	require.NoError(v.t, err, path)
	v.t.Cleanup(func() { assert.NoError(v.t, f.Close()) })
	return f
}

// headRow is the row of a sheet with its labels, counted from 1: a caption and
// an empty row stand over it.
const headRow = 3

// same reports whether a cell holds a value: text as it is, numbers as
// numbers. A cell in hours holds seconds / 3600, a day the day itself.
func same(f *excelize.File, sheet, cell, want string) (bool, string) {
	raw, err := f.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil || raw == want {
		return err == nil, raw
	}
	number, bad := strconv.ParseFloat(raw, 64)
	wanted, noNumber := strconv.ParseFloat(want, 64)
	if bad == nil && noNumber == nil {
		return number == wanted || math.Round(number*3600) == wanted && strings.Contains(format(f, sheet, cell), ".00"), raw
	}
	day, noDay := time.Parse(time.DateOnly, want)
	if bad == nil && noDay == nil {
		shown, err := excelize.ExcelDateToTime(number, false)
		return err == nil && shown.Equal(day), raw
	}
	return "'"+raw == want, raw // the apostrophe is CSV's
}

func format(f *excelize.File, sheet, cell string) string {
	id, err := f.GetCellStyle(sheet, cell)
	if err != nil {
		return ""
	}
	style, err := f.GetStyle(id)
	if err != nil || style.CustomNumFmt == nil {
		return ""
	}
	return *style.CustomNumFmt
}

// A report's workbook says, cell by cell, what its JSON says, in numbers.
func TestWorkbooksSayWhatTheReportsSay(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	for _, name := range handlers.ReportNames {
		rows := o.report(name, "")
		f := o.opened("/api/reports/" + name + "?as=xlsx")
		keys := readCSV(t, o.page("/api/reports/"+name+"?as=csv"))[0]
		got, err := f.GetRows(name)
		require.NoError(t, err)
		require.Len(t, got, headRow+len(rows), name)
		require.Len(t, got[headRow-1], len(keys), name)
		panes, err := f.GetPanes(name)
		require.NoError(t, err)
		assert.True(t, panes.Freeze && panes.YSplit == headRow && panes.XSplit == 1, "%s: the head is frozen", name)
		numbers := 0
		for i, r := range rows {
			for j, key := range keys {
				var want any = r[key]
				if parent, child, nested := strings.Cut(key, "."); nested {
					group, _ := r[parent].(map[string]any)
					want = group[child]
				}
				cell, err := excelize.CoordinatesToCellName(j+1, headRow+1+i)
				require.NoError(t, err)
				if is, raw := same(f, name, cell, text(want)); !is {
					t.Errorf("%s %s, row %d: the workbook says %s, the report %v", name, key, i, raw, want)
				}
				if _, err := strconv.ParseFloat(text(want), 64); err == nil && j > 0 {
					kind, err := f.GetCellType(name, cell)
					require.NoError(t, err)
					if kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber {
						numbers++
					} else if !strings.Contains(format(f, name, cell), "@") {
						t.Errorf("%s %s is %v and not a number", name, cell, kind)
					}
				}
			}
		}
		assert.Positive(t, numbers, "%s holds numbers", name)
	}
}

// All the tables of a page are in one workbook and say what their CSV says.
func TestPagesAsWorkbooks(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	for _, path := range []string{
		"/board", "/hull/H203", "/hull/H203/stage/FAIRX", "/postings?hull=H203&stage=FAIRX&element=labour",
	} {
		mark := "?"
		if strings.Contains(path, "?") {
			mark = "&"
		}
		f := o.opened(path + mark + "xlsx=all")
		require.NotEmpty(t, f.GetSheetList())
		for _, sheet := range f.GetSheetList() {
			lines := readCSV(t, o.page(path+mark+"csv="+sheet))
			for i, line := range lines[1:] {
				for j, want := range line {
					cell, err := excelize.CoordinatesToCellName(j+1, headRow+1+i)
					require.NoError(t, err)
					if is, raw := same(f, sheet, cell, want); !is {
						t.Errorf("%s, %s %s: the workbook says %s, the CSV %s", path, sheet, cell, raw, want)
					}
				}
			}
		}
		assert.Contains(t, o.page(path), fmt.Sprintf(`xlsx=%s" download>XLSX`, f.GetSheetList()[0]))
	}
	one := o.opened("/board?xlsx=hulls")
	assert.Equal(t, []string{"hulls"}, one.GetSheetList())
	shown, err := one.GetCellValue("hulls", "B4")
	require.NoError(t, err)
	assert.Regexp(t, `^\d{1,3}(,\d{3})*\.\d\d$`, shown, "money is shown in groups, to the cent")
	status, body := o.get("/board?xlsx=none")
	assert.Equal(t, 404, status, "%.200s", body)
	leader := theYard(t).as(t, models.TeamLeader)
	status, body = leader.get("/board?xlsx=hulls")
	assert.Equal(t, 403, status)
	assert.False(t, bytes.HasPrefix(body, []byte("PK")))
	noted, err := o.y.store.Logbook(t.Context(), models.LogbookAsk{Words: "exported /board xlsx=hulls", Limit: 5})
	require.NoError(t, err)
	require.Len(t, noted, 1)
	assert.Equal(t, string(models.Owner), noted[0].Who)
}
