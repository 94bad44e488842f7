package handlers

import (
	"net/http"
	"strings"
	"testing"

	"hulltally/models"
)

// The owner reads and removes; the name is gone from every page, the hours stay.
func TestRecordOfAPerson(t *testing.T) {
	y := newYard(t)
	owner := y.person("Brisa", models.Owner)
	page := owner.get("/record/101")
	body := page.Body.String()
	for _, want := range []string{"Ilse Varnholt", "Hours by week", "Local data-protection law decides", "?remove"} {
		if page.Code != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("the record (%d) does not say %q", page.Code, want)
		}
	}
	for _, word := range []string{"rate of pay is", "EUR"} {
		if strings.Contains(body, word) {
			t.Errorf("the record speaks of money: %q", word)
		}
	}
	if ask := owner.get("/record/101?remove").Body.String(); !strings.Contains(ask, `action="/record/remove"`) {
		t.Error("the removal is not asked for")
	}
	if got := owner.post("/record/remove", "worker", "101"); got.Code != http.StatusSeeOther {
		t.Fatalf("the removal was answered %d %s", got.Code, got.Body)
	}
	if after := owner.get("/record/101").Body.String(); strings.Contains(after, "Varnholt") || !strings.Contains(after, "Number 101") {
		t.Error("the name is still there")
	}
	if again := owner.post("/record/remove", "worker", "101"); again.Code != http.StatusConflict {
		t.Errorf("the second removal was answered %d", again.Code)
	}
	if none := owner.get("/record/999999"); none.Code != http.StatusNotFound {
		t.Errorf("nobody's record was answered %d", none.Code)
	}
}
