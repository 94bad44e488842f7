package conformance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// testEnter: rows entered one by one are the yard that was loaded as a whole,
// and a trial leaves nothing.
func testEnter(t *testing.T, open func(t testing.TB) *models.Store) {
	whole := open(t)
	invoice := "L1,2026-03-02T09:00:00Z,1999.99," // price only
	load(t, whole, Tiny())
	load(t, whole, folder{"invoices.csv": "lot,at,price,currency\n" + invoice + "\n"}.write(t))

	s := open(t)
	load(t, s, Tiny())
	row := models.InvoiceRow{Lot: "L1", At: mustInstant("2026-03-02T09:00:00Z"), Price: 1_999_990_000}
	files, err := models.FilesOf(row)
	require.NoError(t, err)
	opts := models.LoadOptions{Now: Now, Who: "test", Did: "entered an invoice", Subject: "L1", Why: "the maker's price", Source: "here"}

	before, seq := dump(t, s), lastNote(t, s).Seq
	seen := 0
	require.NoError(t, s.Try(t.Context(), files, opts, func(tx *models.Tx, report *models.LoadReport) error {
		seen = report.Files["invoices.csv"].Added
		return nil
	}))
	assert.Equal(t, 1, seen, "the trial saw the invoice")
	sameFolder(t, dump(t, s), before)
	assert.Equal(t, seq, lastNote(t, s).Seq, "a trial is not noted")

	_, err = s.Enter(t.Context(), files, opts)
	require.NoError(t, err)
	got := lastNote(t, s)
	assert.Equal(t, []string{"test", "entered an invoice", "L1", "here"}, []string{got.Who, got.Did, got.Subject, got.Source})
	assert.Contains(t, got.Detail, "because: the maker's price")
	assert.Equal(t, dump(t, whole)["invoices.csv"], dump(t, s)["invoices.csv"])
	checked(t, "entered", s)

	var problems *models.Problems
	_, err = s.Enter(t.Context(), map[string][]byte{"invoices.csv": []byte("lot,at,price\nNONE,2026-03-02T09:00:00Z,1\n")}, opts)
	require.ErrorAs(t, err, &problems)
	_, err = s.Enter(t.Context(), map[string][]byte{"nothing.csv": nil}, opts)
	require.ErrorAs(t, err, &problems)
	_, err = models.FilesOf(42)
	require.Error(t, err)
}

func lastNote(t testing.TB, s *models.Store) models.LogbookRow {
	t.Helper()
	rows, err := s.Logbook(t.Context(), models.LogbookAsk{Limit: 1})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	return rows[0]
}
