package handlers

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"hulltally/models"
)

func TestSessionFixation(t *testing.T) {
	y := newYard(t)
	y.person("Ada", models.Owner)
	thief := y.browser()
	thief.get("/sign-in")
	thief.cookies["hulltally"] = "planted-token"
	victim := y.browser()
	victim.cookies["hulltally"] = "planted-token"
	victim.post("/sign-in", "name", "ada", "password", password)
	if victim.cookies["hulltally"] == "planted-token" {
		t.Error("signing in kept the planted token")
	}
	if thief.signedIn() || !victim.signedIn() {
		t.Error("the planted token is signed in")
	}
	// Also where the planted token is a session the server knows.
	y.person("Bo", models.Stores)
	known := y.browser()
	known.post("/sign-in", "name", "bo", "password", password)
	before := known.copy()
	known.post("/sign-in", "name", "ada", "password", password)
	if before.get("/people").Code == http.StatusOK {
		t.Error("the old token rose to owner")
	}
}

func TestTheftAfterSignOut(t *testing.T) {
	y := newYard(t)
	b := y.person("Ada", models.Owner)
	stolen := b.copy()
	if !stolen.copy().signedIn() {
		t.Fatal("the copy is not signed in")
	}
	b.post("/sign-out")
	if stolen.signedIn() {
		t.Error("the stolen token outlives signing out")
	}
}

// The library that reckons the limits has the machine's clock, so the waits are ample.
func TestSessionsEnd(t *testing.T) {
	for name, end := range map[string]func(y *yard, b *browser) error{
		"idle":     func(y *yard, _ *browser) error { y.wait(sessionIdle + 10*time.Minute); return nil },
		"absolute": func(y *yard, _ *browser) error { y.wait(sessionLifetime + 10*time.Minute); return nil },
		"barred":   func(y *yard, _ *browser) error { return y.store.Bar(y.t.Context(), "Bo", true, y.deed()) },
		"ended":    func(y *yard, _ *browser) error { return y.store.EndSessions(y.t.Context(), "Bo", y.deed()) },
		"password": func(y *yard, _ *browser) error {
			return y.store.SetPassword(y.t.Context(), "Bo", "nine green oars", y.deed())
		},
	} {
		t.Run(name, func(t *testing.T) {
			y := newYard(t)
			b := y.person("Bo", models.Stores)
			if err := end(y, b); err != nil {
				t.Fatal(err)
			}
			if b.signedIn() {
				t.Error("the session goes on")
			}
		})
	}
}

// Changing the password in one browser ends the sessions of all others.
func TestPasswordChange(t *testing.T) {
	y := newYard(t)
	b := y.person("Bo", models.Stores)
	other := y.browser()
	other.post("/sign-in", "name", "Bo", "password", password)
	if w := b.post("/account/password", "old", "wrong", "new", "nine green oars", "again", "nine green oars"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a wrong old password gave %d", w.Code)
	}
	if w := b.post("/account/password", "old", password, "new", "nine green oars", "again", "nine green oars"); w.Code != http.StatusSeeOther {
		t.Fatalf("the change gave %d %s", w.Code, w.Body)
	}
	if !b.signedIn() || other.signedIn() {
		t.Errorf("the browser of the change is signed in: %t, the other: %t", b.signedIn(), other.signedIn())
	}
}

func TestCookie(t *testing.T) {
	for _, secure := range []bool{false, true} {
		y := newYard(t, func(o *Options) { o.Secure = secure })
		if _, err := y.store.AddPerson(t.Context(), models.NewPerson{Name: "Ada", Role: models.Owner, Password: password}, y.deed()); err != nil {
			t.Fatal(err)
		}
		w := y.browser().post("/sign-in", "name", "Ada", "password", password)
		c := w.Header().Get("Set-Cookie")
		for _, want := range []string{"HttpOnly", "SameSite=Lax", "Path=/"} {
			if !strings.Contains(c, want) {
				t.Errorf("the cookie %q lacks %s", c, want)
			}
		}
		if strings.Contains(c, "; Secure") != secure || strings.HasPrefix(c, "__Host-") != secure {
			t.Errorf("over TLS %t the cookie is %q", secure, c)
		}
	}
}

// What another site's page makes a browser send is refused, with the session's
// cookie and all.
func TestCrossOrigin(t *testing.T) {
	y := newYard(t)
	b := y.person("Ada", models.Owner)
	for name, header := range map[string]map[string]string{
		"fetch metadata": {"Sec-Fetch-Site": "cross-site"},
		"same site":      {"Sec-Fetch-Site": "same-site"},
		"origin":         {"Origin": "https://elsewhere.example"},
		"null origin":    {"Origin": "null"},
	} {
		b.header = header
		for _, path := range []string{"/people", "/people/change", "/stations/code", "/account/password", "/sign-out"} {
			if w := b.post(path, "name", "Eve", "role", "owner"); w.Code != http.StatusForbidden {
				t.Errorf("%s: %s gave %d", name, path, w.Code)
			}
		}
	}
	b.header = map[string]string{"Sec-Fetch-Site": "same-origin"}
	if w := b.post("/people", "name", "Cy", "role", "stores"); w.Code != http.StatusOK {
		t.Errorf("our own page's form gave %d", w.Code)
	}
	if p, err := y.store.Person(t.Context(), "Eve"); err != nil || p != nil {
		t.Errorf("Eve got in: %v %v", p, err)
	}
}

func TestSecondFactor(t *testing.T) {
	y := newYard(t)
	b := y.person("Ada", models.Owner)
	page := b.get("/account").Body.String()
	_, rest, _ := strings.Cut(page, `<p class="secret" translate="no">`)
	secret, _, _ := strings.Cut(rest, "<")
	code := func() string {
		c, err := totp.GenerateCode(secret, y.now())
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if w := b.post("/account/second-factor", "code", "000000"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a wrong code gave %d", w.Code)
	}
	if w := b.post("/account/second-factor", "code", code()); w.Code != http.StatusSeeOther {
		t.Fatalf("the code gave %d %s", w.Code, w.Body)
	}
	y.wait(time.Minute)
	again := y.browser()
	if w := again.post("/sign-in", "name", "Ada", "password", password); w.Header().Get("Location") != "/sign-in/code" {
		t.Fatalf("the password alone led to %q", w.Header().Get("Location"))
	}
	if again.signedIn() {
		t.Fatal("the password alone signs in")
	}
	if w := again.post("/sign-in/code", "code", "123456"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a wrong code gave %d", w.Code)
	}
	overheard := code()
	if w := again.post("/sign-in/code", "code", overheard); w.Code != http.StatusSeeOther || !again.signedIn() {
		t.Fatalf("the code gave %d", w.Code)
	}
	third := y.browser()
	third.post("/sign-in", "name", "Ada", "password", password)
	if w := third.post("/sign-in/code", "code", overheard); w.Code != http.StatusUnprocessableEntity || third.signedIn() {
		t.Errorf("a code used before gave %d", w.Code)
	}
	// A link gives a new password; the code is still asked for.
	link, err := y.store.NewLink(t.Context(), "Ada", y.deed())
	if err != nil {
		t.Fatal(err)
	}
	fourth := y.browser()
	w := fourth.post("/choose-password", "link", link, "password", "nine green oars", "again", "nine green oars")
	if w.Header().Get("Location") != "/sign-in/code" || fourth.signedIn() {
		t.Errorf("a link led to %q", w.Header().Get("Location"))
	}
	if bo := y.person("Bo", models.Stores); bo.post("/account/second-factor", "code", "1").Code != http.StatusForbidden {
		t.Error("a second factor is offered to the stores")
	}
}
