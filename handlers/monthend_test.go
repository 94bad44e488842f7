package handlers

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// closingYard is a yard with one contract that is fed by purchases alone, so
// that a printed example can be played through the closes.
func closingYard(t *testing.T, price, estimate string) *models.Store {
	t.Helper()
	s, err := models.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "yard.db"))
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, s.Close()) })
	enterAt(t, s, "2024-01-01T00:00:00Z", map[string]string{
		"policy.csv":   "key,value\nname,Marl Quay\ncurrency,EUR\ntime_zone,UTC\n",
		"stages.csv":   "stage,name,order\nBLD,Building,1\n",
		"hulls.csv":    "hull,model,price,price_currency,price_rate,signed\nH1,M," + price + ",EUR,1,2024-01-01\n",
		"jobs.csv":     "job,hull,stage,purpose\nJ1,H1,BLD,build\n",
		"estimate.csv": "job,element,key,quantity,standard_rate\nJ1,bought-in,all,1," + estimate + "\n",
	})
	return s
}

func enterAt(t *testing.T, s *models.Store, at string, files map[string]string) {
	t.Helper()
	texts := map[string][]byte{}
	for name, text := range files {
		texts[name] = []byte(text)
	}
	now, err := costing.ParseInstant(at)
	require.NoError(t, err)
	_, err = s.Enter(t.Context(), texts, models.LoadOptions{Now: now, Who: "Office"})
	require.NoError(t, err)
}

// closeAndRead closes months up to one, and gives the last one's month report.
func closeAndRead(t *testing.T, s *models.Store, from, to costing.Period) map[string]string {
	t.Helper()
	for p := from; p <= to; p = p.Next() {
		now := p.Next().Next().First().At(0, time.UTC)
		_, err := s.CloseMonth(t.Context(), p, models.CloseOptions{Now: now, Who: "Bookkeeper", Tables: SignedTables(context.Background())})
		require.NoError(t, err)
	}
	table, err := Report(t.Context(), s, "month", Ask{Period: to, Now: to.Next().Next().First().At(0, time.UTC).Time()})
	require.NoError(t, err)
	require.Len(t, table.Rows, 1)
	row := map[string]string{}
	for i, c := range table.Columns {
		row[c.Key] = cell(table.Rows[0][i])
	}
	return row
}

// IFRS 15 Illustrative Example 19 through the yard's own closes: lifts of
// 1,500,000 delivered and not installed, 500,000 of other cost of 2,500,000,
// price 5,000,000: progress 20 %, revenue 2,200,000, profit 200,000.
func TestUninstalledGoodsThroughACloseIFRS15IE19(t *testing.T) {
	s := closingYard(t, "5000000", "4000000")
	enterAt(t, s, "2024-02-01T00:00:00Z", map[string]string{
		"uninstalled.csv": "document,hull,stage,description,expected\nL1,H1,BLD,Lifts,1500000\n",
		"bought.csv":      "document,date,hull,stage,description,amount\nD1,2024-01-10,H1,BLD,Labour and material,300000\n",
	})
	row := closeAndRead(t, s, 202401, 202401)
	assert.Equal(t, []string{"0.1200", "420000.00", "120000.00"}, []string{row["progress"], row["revenue_to_date"], row["profit_to_date"]},
		"before the lifts come: 300 of 2,500, of a price of 3,500")
	enterAt(t, s, "2024-03-01T00:00:00Z", map[string]string{
		"bought.csv": "document,date,hull,stage,description,amount\nL1,2024-02-20,H1,BLD,Lifts,1500000\nD2,2024-02-21,H1,BLD,Labour and material,200000\n",
	})
	row = closeAndRead(t, s, 202402, 202402)
	assert.Equal(t, []string{"0.2000", "2200000.00", "200000.00"}, []string{row["progress"], row["revenue_to_date"], row["profit_to_date"]})
	assert.Equal(t, []string{"1780000.00", "80000.00"}, []string{row["revenue_month"], row["profit_month"]})
}

// A contract over three years, widely taught: price 10,000,000; revenue
// 3,000,000, 4,700,000 and 2,300,000; profit 420,000, 658,000 and 124,200. It
// is closed month by month, and the estimate is stated anew each year.
func TestContractOfThreeYearsMonthByMonth(t *testing.T) {
	s := closingYard(t, "10000000", "8600000")
	from := costing.Period(202401)
	revenue, profit := []string{"3000000.00", "7700000.00", "10000000.00"}, []string{"420000.00", "1078000.00", "1202200.00"}
	costs := []int64{2_580_000, 4_042_000, 2_175_800}
	for year, cost := range costs {
		files := map[string]string{"bought.csv": "document,date,hull,stage,description,amount\n"}
		for m := range 12 {
			share := cost / 12
			if m == 11 {
				share = cost - 11*(cost/12)
			}
			files["bought.csv"] += fmt.Sprintf("D%d-%d,%d-%02d-15,H1,BLD,Work,%d\n", year, m, 2024+year, m+1, share)
		}
		enterAt(t, s, fmt.Sprintf("%d-12-31T00:00:00Z", 2024+year), files)
		last := from + 11
		row := closeAndRead(t, s, from, last)
		assert.Equal(t, []string{revenue[year], profit[year]}, []string{row["revenue_to_date"], row["profit_to_date"]}, "year %d", year+1)
		from = last.Next()
	}
}

// The pack of a closed month is always the same, whatever comes later, and its
// figures read back from the PDF are those of the report.
func TestPackReadsBack(t *testing.T) {
	s := closingYard(t, "5000000", "4000000")
	enterAt(t, s, "2024-02-01T00:00:00Z", map[string]string{
		"bought.csv": "document,date,hull,stage,description,amount\nD1,2024-01-10,H1,BLD,Work,1234567.89\n",
	})
	row := closeAndRead(t, s, 202401, 202401)
	packed := func() []byte {
		pack, err := MakePack(t.Context(), s, 202401, costing.Period(202406).First().At(0, time.UTC), nil)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, pack.WritePDF(&b))
		return b.Bytes()
	}
	first := packed()
	enterAt(t, s, "2024-04-01T00:00:00Z", map[string]string{
		"bought.csv": "document,date,hull,stage,description,amount\nD2,2024-01-11,H1,BLD,Came late,1000\n",
	})
	require.Equal(t, first, packed(), "the pack of a closed month moved")
	reader, err := exec.LookPath("pdftotext")
	require.NoError(t, err, "pdftotext has to be installed")
	path := filepath.Join(t.TempDir(), "pack.pdf")
	require.NoError(t, os.WriteFile(path, first, 0o600))
	out, err := exec.CommandContext(t.Context(), reader, "-layout", path, "-").Output()
	require.NoError(t, err)
	text := strings.ReplaceAll(string(out), " ", "")
	for _, key := range []string{"cost_to_date", "to_complete", "revenue_to_date", "profit_to_date", "contract_asset"} {
		assert.Contains(t, text, row[key], key)
	}
}
