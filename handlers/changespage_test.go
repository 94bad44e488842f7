package handlers

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// The owner reads what a load changed, money included, and finds it by words.
func TestChangesPage(t *testing.T) {
	y := newYard(t)
	owner := y.person("Ada", models.Owner)
	rows, err := y.store.Changes(t.Context(), models.ChangesAsk{File: "rates.csv", Limit: 1})
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	var worker, from, rate string
	for _, c := range rows[0].Cells {
		switch c.Column {
		case "worker":
			worker = c.After
		case "from":
			from = c.After
		case "rate":
			rate = c.After
		}
	}
	w := owner.post("/people", "name", "Bo", "role", "stores")
	require.Less(t, w.Code, 400)
	_, err = y.store.Enter(t.Context(), map[string][]byte{"rates.csv": []byte("worker,from,rate\n" + worker + "," + from + ",99.25\n")},
		models.LoadOptions{Now: 1, Who: "Ada", Did: "entered rates", Why: "the new agreement"})
	require.NoError(t, err)

	body := owner.get("/logbook?words=agreement").Body.String()
	require.Contains(t, body, "What changed")
	_, link, _ := strings.Cut(body, `<a href="/logbook/changes?entry=`)
	entry, _, _ := strings.Cut(link, `"`)
	body = owner.get("/logbook/changes?entry=" + entry).Body.String()
	assert.Contains(t, body, "<del>"+rate+"</del>")
	assert.Contains(t, body, "<ins>99.25</ins>")
	assert.Equal(t, 1, strings.Count(body, "<del>"), "only what differs")
	for query, want := range map[string]string{
		"?words=99.25+ada": "<ins>99.25</ins>", "?file=rates.csv": "<ins>99.25</ins>", "?words=nothing+here": "There is no such change",
		"?file=nothing.csv": "There is no such change",
	} {
		assert.Contains(t, owner.get("/logbook/changes"+query).Body.String(), want, query)
	}
	for query, want := range map[string]int{"?entry=x": 422, "?entry=999999": 404, "?before=-1": 422, "?words=%ff": 422} {
		assert.Equal(t, want, owner.get("/logbook/changes"+query).Code, query)
	}
	for _, role := range []models.Role{models.Bookkeeper, models.Estimator, models.TeamLeader, models.Stores} {
		assert.Equal(t, http.StatusForbidden, y.person("not "+string(role), role).get("/logbook/changes").Code)
	}
}
