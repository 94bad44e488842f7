package handlers

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"hulltally/models"
)

// Whatever is wrong, the same work is done and the same is said.
func TestUnknownNameCostsTheSame(t *testing.T) {
	y := newYard(t)
	y.person("Ada", models.Owner)
	if _, err := y.store.AddPerson(t.Context(), models.NewPerson{Name: "New", Role: models.Stores}, y.deed()); err != nil {
		t.Fatal(err)
	}
	y.person("Gone", models.Stores)
	if err := y.store.Bar(t.Context(), "Gone", true, y.deed()); err != nil {
		t.Fatal(err)
	}
	var hashes []string
	y.server.fits = func(password, hash string) bool {
		hashes = append(hashes, hash)
		return models.PasswordFits(password, hash)
	}
	var first string
	for _, c := range [][2]string{
		{"Ada", "wrong"},
		{"nobody at all", "wrong"},
		{"New", "wrong"},
		{"New", ""},
		{"Gone", password},
		{"Ada\u202e", password},
		{"", ""},
		{strings.Repeat("x", 5000), "wrong"},
		{"ada", strings.Repeat("y", 5000)},
	} {
		hashes = nil
		b := y.browser()
		b.source = "[2001:db8:" + string("123456789"[len(c[0])%9]) + "::1]:9"
		y.wait(2 * longestWait)
		w := b.post("/sign-in", "name", c[0], "password", c[1])
		if w.Code != http.StatusUnprocessableEntity || len(hashes) != 1 {
			t.Errorf("%.20q gave %d after %d comparisons", c[0], w.Code, len(hashes))
			continue
		}
		if cost := strings.Join(strings.Split(hashes[0], "$")[:4], "$"); first == "" {
			first = cost
		} else if cost != first {
			t.Errorf("%.20q was compared at a cost of %s, not %s", c[0], cost, first)
		}
		if !strings.Contains(w.Body.String(), wrongPair) {
			t.Errorf("%.20q was told something else", c[0])
		}
	}
}

// Wrong tries slow down their own source, and nobody else.
func TestPatience(t *testing.T) {
	y := newYard(t)
	y.person("Ada", models.Owner)
	compared := 0
	y.server.fits = func(_, hash string) bool { compared++; return false }
	attacker := y.browser()
	attacker.source = "198.51.100.9:1"
	for range 12 {
		attacker.post("/sign-in", "name", "ADA ", "password", "guess")
	}
	if compared != freeTries {
		t.Errorf("%d guesses were looked at, want %d", compared, freeTries)
	}
	w := attacker.post("/sign-in", "name", "ada", "password", "guess")
	if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") == "" {
		t.Errorf("the next guess gave %d", w.Code)
	}
	before := compared
	for range 10 { // an hour of guessing at the pace that is left
		y.wait(longestWait)
		attacker.post("/sign-in", "name", "ada", "password", "guess")
	}
	if compared-before > 10 {
		t.Errorf("%d guesses in ten minutes", compared-before)
	}
	y.server.fits = models.PasswordFits
	ada := y.browser()
	ada.source = "192.0.2.50:1"
	if w := ada.post("/sign-in", "name", "Ada", "password", password); w.Code != http.StatusSeeOther {
		t.Errorf("somebody else's guesses keep Ada out: %d", w.Code)
	}
	// Many names from one source are slowed down too.
	y.server.fits = func(string, string) bool { compared++; return false }
	compared = 0
	sprayer := y.browser()
	sprayer.source = "198.51.100.77:1"
	for i := range 200 {
		sprayer.post("/sign-in", "name", "name"+strings.Repeat("i", i), "password", "guess")
		y.wait(20 * time.Millisecond)
	}
	if compared > freeSourceTries+5 {
		t.Errorf("%d names were tried in four seconds", compared)
	}
}

func TestSetUp(t *testing.T) {
	y := newYard(t)
	link, err := y.store.NewLink(t.Context(), "", y.deed())
	if err != nil {
		t.Fatal(err)
	}
	b := y.browser()
	if w := b.get(LinkPath(link)); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "first owner") {
		t.Fatalf("the link gave %d %s", w.Code, w.Body)
	}
	for _, bad := range [][3]string{
		{"Ada", "short", "short"},
		{"", "nine green oars", "nine green oars"},
		{"Ada", "nine green oars", "nine green oar"},
		{"Ada\u202eadA", "nine green oars", "nine green oars"},
		{"Ada", "my name is ada", "my name is ada"},
		{"Ada", "aaaaaaaaaaaaaa", "aaaaaaaaaaaaaa"},
	} {
		if w := b.post("/choose-password", "link", link, "name", bad[0], "password", bad[1], "again", bad[2]); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%q gave %d", bad, w.Code)
		}
	}
	if w := b.post("/choose-password", "link", link, "name", "Ada", "password", password, "again", password); w.Code != http.StatusSeeOther {
		t.Fatalf("setting up gave %d %s", w.Code, w.Body)
	}
	if !b.signedIn() || b.get("/people").Code != http.StatusOK {
		t.Error("the first owner is not signed in")
	}
	again := y.browser()
	if w := again.post("/choose-password", "link", link, "name", "Eve", "password", password, "again", password); w.Code != http.StatusForbidden {
		t.Errorf("the link worked twice: %d", w.Code)
	}
	if _, err := y.store.NewLink(t.Context(), "", y.deed()); models.KindOf(err) != models.Conflict {
		t.Errorf("a second set-up link: %v", err)
	}
	if strings.Contains(y.log.String(), link) {
		t.Error("the log holds the link")
	}
}

func TestNextStaysHere(t *testing.T) {
	for next, want := range map[string]string{
		"/people": "/people", "/reports?x=1": "/reports?x=1", "": "", "people": "", "//elsewhere.example": "", `/\elsewhere.example`: "",
		"https://elsewhere.example": "", "/a\r\nSet-Cookie: x": "", "javascript:alert(1)": "",
	} {
		if got := localPath(next); got != want {
			t.Errorf("localPath(%q) = %q, want %q", next, got, want)
		}
	}
	y := newYard(t)
	if w := y.browser().get("/people"); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/sign-in?next=%2Fpeople" {
		t.Errorf("a private page led to %q", w.Header().Get("Location"))
	}
}
