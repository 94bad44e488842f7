package handlers

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// What an estimator states moves the forecast, is kept with its reason, and can
// be taken back.
func TestStateForecast(t *testing.T) {
	y := newYard(t)
	e := y.person("Ines Quarte", models.Estimator)
	margin := func() string {
		table, err := Report(t.Context(), y.store, "margin", Ask{Now: y.now(), Hull: "H1"})
		require.NoError(t, err)
		require.Len(t, table.Rows, 1)
		for i, c := range table.Columns {
			if c.Key == "to_complete" {
				return table.Rows[0][i].(string)
			}
		}
		return ""
	}
	before := margin()
	const form = "/hull/H1/stage/LAM/state"
	for _, fields := range [][]string{
		{"element", "labour", "to_complete", "100"},
		{"element", "labour", "to_complete", "-1", "why", "x"},
		{"element", "gold", "to_complete", "1", "why", "x"},
		{"element", "labour", "to_complete", "much", "why", "x"},
	} {
		assert.Equal(t, http.StatusUnprocessableEntity, e.post(form, fields...).Code, "%q", fields)
	}
	assert.Equal(t, http.StatusNotFound, e.post("/hull/H9/stage/LAM/state", "element", "labour", "to_complete", "1", "why", "x").Code)
	assert.Equal(t, before, margin(), "what is refused changes nothing")
	y.wait(1e9)
	w := e.post(form, "element", "labour", "to_complete", "98765.43", "why", "the plug has to be <b>done</b> again")
	require.Equal(t, http.StatusSeeOther, w.Code, w.Body)
	assert.NotEqual(t, before, margin())
	page := e.get("/hull/H1/stage/LAM").Body.String()
	assert.Contains(t, page, "stated by Ines Quarte on ")
	assert.Contains(t, page, "&lt;b&gt;done&lt;/b&gt;")
	assert.Contains(t, page, `<data value="98765.43">`)
	rows, err := y.store.Logbook(t.Context(), models.LogbookAsk{Words: "stated forecast H1", Limit: 5})
	require.NoError(t, err)
	require.Len(t, rows, 1)
	assert.Equal(t, "Ines Quarte", rows[0].Who)
	assert.True(t, strings.Contains(rows[0].Detail, "the plug has to be"))
	y.wait(1e9)
	require.Equal(t, http.StatusSeeOther, e.post(form, "element", "labour", "why", "it needn't after all").Code)
	assert.Equal(t, before, margin(), "taken back, the rule's figure stands again")
}
