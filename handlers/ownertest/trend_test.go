package ownertest

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// endOf is the last instant of a day in the yard, as a report's query has it.
func (y *yard) endOf(t testing.TB, day string) string {
	t.Helper()
	var at costing.Instant
	require.NoError(t, y.store.Read(t.Context(), func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(t.Context())
		if err != nil {
			return err
		}
		d, err := costing.ParseDate(day)
		at = (d+1).At(0, snap.Yard.Zone) - 1
		return err
	}))
	return url.QueryEscape(at.String())
}

// The trend comes from the kept totals of the months. The margin report as of a
// month's end is worked out from the entries themselves: they have to agree,
// but for invoices that came later, which count in the trend from the day the
// material was used.
func TestTrendIsTheMarginReportOfEachMonth(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	rows := o.table("/hull/H205", "trend")
	require.GreaterOrEqual(t, len(rows), 4)
	last := rows[len(rows)-1]
	now := o.report("margin", "?hull=H205")[0]
	for _, key := range []string{"estimate", "actual", "to_complete", "at_completion", "margin", "progress"} {
		assert.Equal(t, text(now[key]), last[key], key)
	}
	worked := 0
	for i, row := range rows {
		if i == len(rows)-1 || testing.Short() && i%3 != 1 {
			continue
		}
		then := o.report("margin", "?hull=H205&at="+y.endOf(t, row["day"]))[0]
		for _, key := range []string{"estimate", "progress"} {
			assert.Equal(t, text(then[key]), row[key], "%s at %s", key, row["day"])
		}
		for _, key := range []string{"actual", "at_completion", "margin"} {
			off := cents(t, text(then[key])) - cents(t, row[key])
			assert.LessOrEqual(t, max(off, -off), cents(t, row["price"])/200, "%s at %s: %s and %s", key, row["day"], text(then[key]), row[key])
			if off != 0 {
				t.Logf("%s at %s: %s in the trend, %s reported then", key, row["day"], row[key], text(then[key]))
			}
		}
		if row["actual"] != "0.00" {
			worked++
		}
	}
	assert.Positive(t, worked, "a month with work was compared")
}
