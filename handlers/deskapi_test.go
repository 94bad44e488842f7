package handlers

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// deskFields are all that a desk may be told, written apart from the types: a
// field that is new has to be let in here by somebody who thought of money.
const deskFields = ` at day items lots cards item name unit units role net factor roll_width_m sheet_m2 kg_per_litre hardener hardener_parts
	lot payload remaining received expires batch place job hulls about lines planned expected issued left wasted rows kind key id outcome
	code who quantity undone reason unsaid text gtin again return waste scrap undo cancel `

// fieldsIn lists the names of all members, however deep.
func fieldsIn(value any) (names []string) {
	switch v := value.(type) {
	case map[string]any:
		for name, inner := range v {
			names = append(append(names, name), fieldsIn(inner)...)
		}
	case []any:
		for _, inner := range v {
			names = append(names, fieldsIn(inner)...)
		}
	}
	return names
}

// No money reaches the stores' desk: field by field, by key and by session, and
// not one of the yard's prices as a value.
func TestDeskTellsNoMoney(t *testing.T) {
	y := newYard(t)
	stores, hatch := y.person("Stores", models.Stores), y.station("STORE")
	now := costing.InstantOf(y.now()).String()
	asked := 0
	check := func(what, body string) {
		var answer any
		require.NoError(t, json.Unmarshal([]byte(body), &answer), what)
		for _, f := range fieldsIn(answer) {
			assert.Contains(t, strings.Fields(deskFields), f, "%s tells %s", what, f)
		}
		for _, price := range []string{"4.2\"", "5.1\"", "9.4\"", "2260", "520", "1150", "85.5", "28.5"} {
			assert.NotContains(t, body, price, what)
		}
		asked++
	}
	for _, path := range []string{
		"/api/desk/shelf", "/api/desk/job/J0000019", "/api/desk/lot/L000001C", "/api/desk/find?words=resin", "/api/desk/today?station=STORE",
	} {
		for who, b := range map[string]*browser{"stores": stores, "station": hatch} {
			w := b.get(path)
			require.Equal(t, http.StatusOK, w.Code, "%s for %s: %s", path, who, w.Body)
			check(path+" for "+who, w.Body.String())
		}
	}
	for path, body := range map[string]string{
		"/api/desk/goods":    `{"at":"` + now + `","item":"RES","quantity":"25 kg","expires":"2030-01-31","batch":"R-9"}`,
		"/api/desk/reasons":  `{"at":"` + now + `","lot":"L2","kind":"expired","reason":"tested"}`,
		"/api/desk/places":   `{"at":"` + now + `","lot":"L2","place":"Resin room"}`,
		"/api/desk/counts":   `{"at":"` + now + `","payload":"L000001C","quantity":"1MTR"}`,
		"/api/desk/supplier": `{"text":"(01)04012345678901(3103)025000(10)R-9"}`,
	} {
		w := hatch.json(path, body)
		require.Equal(t, http.StatusOK, w.Code, "%s: %s", path, w.Body)
		check(path, w.Body.String())
		assert.Equal(t, http.StatusForbidden, stores.json(path, body).Code, "a session names no station: %s", path)
		bad := hatch.json(path, `{"price":"1"}`)
		assert.Equal(t, http.StatusUnprocessableEntity, bad.Code, "%s took a price: %s", path, bad.Body)
	}
	assert.Equal(t, 15, asked)
	page := stores.get("/stores").Body.String()
	for _, word := range []string{"price\"", "cost", "margin", "value=\"EUR"} {
		assert.NotContains(t, page, word)
	}
	lots := hatch.json("/api/desk/label", `{"lot":"L2"}`)
	assert.True(t, strings.HasPrefix(lots.Body.String(), "%PDF"), "the label is %.20s", lots.Body)
	gate := y.station("GATE")
	assert.Equal(t, http.StatusForbidden, gate.get("/api/desk/shelf").Code)
	assert.Equal(t, http.StatusForbidden, gate.json("/api/desk/goods", fmt.Sprintf(`{"at":%q,"item":"RES","quantity":"1"}`, now)).Code)
	assert.Equal(t, http.StatusForbidden, y.person("Books", models.Bookkeeper).get("/api/desk/shelf").Code)
}

// What a desk sends that is wrong is refused with what to do, and records nothing.
func TestDeskRefusals(t *testing.T) {
	y := newYard(t)
	hatch := y.station("STORE")
	now := costing.InstantOf(y.now()).String()
	for _, c := range []struct{ path, body, want string }{
		{"goods", `{"at":"` + now + `","item":"NONE","quantity":"1"}`, "no item"},
		{"goods", `{"at":"` + now + `","item":"RES","quantity":"US,GS,+ 1kg"}`, "not settled"},
		{"goods", `{"at":"` + now + `","item":"RES","quantity":"1e30"}`, "unit E30"},
		{"goods", `{"at":"2099-01-01T00:00:00Z","item":"RES","quantity":"1"}`, "clock"},
		{"goods", `{"at":"` + now + `","item":"RES","quantity":"1","expires":"31.12.2030"}`, "expires"},
		{"goods", `{"at":"` + now + `","item":"RES","quantity":"1 m"}`, "no conversion"},
		{"reasons", `{"at":"` + now + `","lot":"L99","kind":"expired","reason":"x"}`, "no lot"},
		{"reasons", `{"at":"` + now + `","lot":"L2","kind":"why","reason":"x"}`, "not one of"},
		{"reasons", `{"at":"` + now + `","lot":"L2","kind":"scrap","reason":" "}`, "blank"},
		{"counts", `{"at":"` + now + `","payload":"J0000019","quantity":"1"}`, "no lot"},
		{"counts", `{"at":"yesterday","payload":"L000001C","quantity":"1"}`, "no instant"},
		{"places", `{"at":"` + now + `","lot":"L2","place":""}`, "blank"},
		{"supplier", `{"text":"hello"}`, "supplier's label"},
		{"label", `{"lot":"L99"}`, "L99"},
	} {
		w := hatch.json("/api/desk/"+c.path, c.body)
		assert.True(t, w.Code == http.StatusUnprocessableEntity || w.Code == http.StatusNotFound, "%s %s gave %d", c.path, c.body, w.Code)
		assert.Contains(t, w.Body.String(), c.want, "%s %s", c.path, c.body)
	}
	var shelf deskShelf
	require.NoError(t, json.Unmarshal(hatch.get("/api/desk/shelf").Body.Bytes(), &shelf))
	assert.Len(t, shelf.Lots, 6)
}
