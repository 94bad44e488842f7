package ownertest

import (
	"encoding/json"
	"fmt"
	"html"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

func whole(t testing.TB, s string) int64 {
	t.Helper()
	if s == "" {
		return 0
	}
	v, err := strconv.ParseInt(s, 10, 64)
	require.NoError(t, err)
	return v
}

// The hours page says what the hours report says of the same days, each way of
// adding up comes to the same, and a sum is what it opens.
func TestHoursAreTheHoursReport(t *testing.T) {
	y := theYard(t)
	b := y.as(t, models.Bookkeeper)
	const path = "/hours?month=2026-09"
	want := map[string][6]int64{}
	var all [6]int64
	for _, r := range b.report("hours", "?period=2026-09") {
		seconds, _ := r["seconds"].(map[string]any)
		row := want[text(r["worker"])]
		for i, v := range []any{seconds["ordinary"], seconds["overtime"], seconds["double"], r["jobs"], r["indirect"]} {
			row[i] += whole(t, text(v))
		}
		row[5] += cents(t, text(r["base"])) + cents(t, text(r["on_cost"])) + cents(t, text(r["premium"]))
		want[text(r["worker"])] = row
	}
	for _, row := range want {
		for i, v := range row {
			all[i] += v
		}
	}
	of := func(r map[string]string) [6]int64 {
		return [6]int64{
			whole(t, r["ordinary"]), whole(t, r["overtime"]), whole(t, r["double"]), whole(t, r["jobs"]), whole(t, r["indirect"]), cents(t, r["cost"]),
		}
	}
	workers := b.table(path, "workers")
	assert.Len(t, workers, len(want))
	for _, r := range workers {
		assert.Equal(t, want[r["worker"]], of(r), r["worker"])
	}
	for _, id := range []string{"grades", "stages", "places", "kinds", "bands"} {
		var sum [6]int64
		for _, r := range b.table(path, id) {
			for i, v := range of(r) {
				sum[i] += v
			}
		}
		assert.Equal(t, all, sum, "by %s", id)
	}
	for _, r := range b.table(path, "reconciliation") {
		assert.Equal(t, r["paid"], r["charged"], r["tie"])
		assert.NotEqual(t, "0", r["paid"])
	}
	stage := b.table(path, "stages")[0]
	var sum int64
	inStage := b.table(path+"&stage="+stage["stage"], "workers")
	for _, r := range inStage {
		sum += cents(t, r["cost"])
	}
	assert.Equal(t, cents(t, stage["cost"]), sum, "a stage is its workers")
	one := inStage[0]
	lines, seconds := b.table(path+"&stage="+stage["stage"]+"&worker="+one["worker"], "pieces"), int64(0)
	for _, r := range lines {
		seconds += whole(t, r["seconds"])
	}
	assert.Equal(t, whole(t, one["seconds"]), seconds, "a worker in a stage is their bookings")
	page := html.UnescapeString(b.page(path + "&stage=" + stage["stage"] + "&worker=" + one["worker"]))
	_, rest, found := strings.Cut(page, `href="/booking/`)
	require.True(t, found, "a line leads to its entry")
	entry, _, _ := strings.Cut(rest, `"`)
	assert.Contains(t, b.page("/booking/"+entry), "Raw reads", "and the entry to its reads")
	for _, role := range []models.Role{models.Estimator, models.TeamLeader, models.Stores} {
		status, body := y.as(t, role).get(path)
		assert.Equal(t, 403, status, "%s may not see wages", role)
		assert.False(t, json.Valid(body) && strings.Contains(fmt.Sprint(string(body)), "base"))
	}
	status, _ := b.get("/hours?month=never")
	assert.Equal(t, 422, status)
}
