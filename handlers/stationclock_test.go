package handlers

import (
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// The error of a station's clock is kept with every batch, right or wrong, and
// leaders see it; reads beyond what is believed are kept and flagged.
func TestClockErrorsAreKept(t *testing.T) {
	y := newYard(t)
	gate, leader := y.station("GATE"), y.person("Lea", models.TeamLeader)
	assert.Contains(t, leader.get("/stations").Body.String(), "not heard of")
	for i, off := range []time.Duration{2400 * time.Millisecond, -75 * time.Second, 300 * time.Millisecond} {
		gate.header["Hulltally-Sent"] = costing.InstantOf(y.now().Add(off)).String()
		w := gate.json("/api/reads", "["+readText(i, y.badgeOf("101"))+"]")
		require.Equal(t, http.StatusOK, w.Code, w.Body.String())
	}
	clocks, err := y.store.StationClocks(t.Context(), 0, 60_000)
	require.NoError(t, err)
	require.Contains(t, clocks, "GATE")
	got := *clocks["GATE"]
	assert.Equal(t, models.StationClock{
		Station: "GATE", AtMs: costing.InstantOf(y.now()), ErrorMs: 300, WorstMs: -75_000, Batches: 3, ReadsOff: 1,
	}, got)
	page := leader.get("/stations").Body.String()
	assert.Contains(t, page, "0.3 s ahead")
	assert.Contains(t, page, "worst 75.0 s behind")
	assert.Contains(t, page, "1 reads flagged for it")
	var flagged int64
	require.NoError(t, y.store.Read(t.Context(), func(tx *models.Tx) error {
		return tx.DB.Table("reads").Where("flag LIKE 'clock%behind'").Count(&flagged).Error
	}))
	assert.Equal(t, int64(1), flagged)
	gate.header["Hulltally-Sent"] = "yesterday"
	assert.Equal(t, 422, gate.json("/api/reads", readText(9, "x")).Code)
	for ms, want := range map[int64]string{0: "right", 49: "right", -50: "0.1 s behind", 61_040: "61.0 s ahead"} {
		assert.Equal(t, want, clockWords(ms))
	}
}
