package handlers

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/models"
)

// Every page of the leader's desk opens, and none tells a rate or an amount:
// the yard's rates and prices are looked for as they are written in its files.
func TestDeskPages(t *testing.T) {
	y := newYard(t)
	leader := y.person("Runa Tolk", models.TeamLeader)
	money := regexp.MustCompile(`\b(EUR|28\.5|31\.25|182000|4\.2 ?/)\b`)
	for _, path := range []string{
		"/desk", "/desk?settled=1", "/desk/floor", "/desk/wall", "/desk/jobs", "/desk/jobs?hull=H1", "/desk/jobs?hull=H1&csv=checks", "/desk/job/J1",
		"/desk/weeks?week=2026-03-02", "/desk/person/101?day=2026-03-02", "/desk/person/102?day=2026-03-02",
		"/desk/person/101/correct?do=add&at=2026-03-02T15:00&target=off&why=Went+home",
	} {
		got := leader.get(path)
		assert.Equal(t, http.StatusOK, got.Code, "%s: %s", path, got.Body)
		assert.Empty(t, money.FindString(got.Body.String()), path)
	}
}

// A correction is only tried until it is confirmed, a dismissal can be taken
// back, and progress stated at the desk counts.
func TestDeskForms(t *testing.T) {
	y := newYard(t)
	leader := y.person("Runa Tolk", models.TeamLeader)
	day := "/desk/person/101?day=2026-03-02"
	before := leader.get(day).Body.String()
	leader.get("/desk/person/101/correct?do=add&at=2026-03-02T15:00&target=off&why=Went+home")
	require.Equal(t, before, leader.get(day).Body.String(), "looking at a correction entered it")
	got := leader.post("/desk/person/101/correct", "do", "add", "at", "2026-03-02T15:00", "target", "off", "why", "Went home")
	require.Equal(t, http.StatusSeeOther, got.Code, got.Body)
	assert.Contains(t, leader.get(day).Body.String(), "Went home")

	require.Equal(t, http.StatusSeeOther, leader.post("/desk/job/J1/progress", "percent", "100", "why", "").Code)
	assert.Contains(t, leader.get("/desk/job/J1").Body.String(), "signed off")
	assert.Equal(t, http.StatusSeeOther, leader.post("/desk/job/J1/check", "check", "leak", "value", "0", "minutes", "", "note", "").Code)
	assert.True(t, strings.Contains(leader.get("/desk/jobs?hull=H1&csv=checks").Body.String(), "Leaks found"))
}
