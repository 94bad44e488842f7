package handlers

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
	"hulltally/models/conformance"
)

// password is everybody's in these tests.
const password = "seven brown keels"

// yard is a server over the tiny yard, with a clock that the test moves.
type yard struct {
	t      *testing.T
	store  *models.Store
	server *Server
	log    bytes.Buffer

	mu sync.Mutex
	at time.Time
}

func newYard(t *testing.T, change ...func(o *Options)) *yard {
	t.Helper()
	y := &yard{t: t, store: conformance.SQLite(t), at: time.Now()}
	if _, err := y.store.Load(t.Context(), conformance.Tiny(), models.LoadOptions{Now: conformance.Now, Who: "test"}); err != nil {
		t.Fatal(err)
	}
	o := Options{Store: y.store, Now: y.now, Log: slog.New(slog.NewTextHandler(&y.log, nil))}
	for _, f := range change {
		f(&o)
	}
	var err error
	if y.server, err = New(o); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(y.server.Close)
	return y
}

func (y *yard) now() time.Time {
	y.mu.Lock()
	defer y.mu.Unlock()
	return y.at
}

// wait moves the clock on.
func (y *yard) wait(d time.Duration) {
	y.mu.Lock()
	defer y.mu.Unlock()
	y.at = y.at.Add(d)
}

func (y *yard) deed() models.Deed {
	return models.Deed{Who: "test", Source: "test", At: costing.InstantOf(y.now())}
}

// person adds somebody and gives their browser, signed in.
func (y *yard) person(name string, role models.Role) *browser {
	y.t.Helper()
	if _, err := y.store.AddPerson(y.t.Context(), models.NewPerson{Name: name, Role: role, Password: password}, y.deed()); err != nil {
		y.t.Fatal(err)
	}
	b := y.browser()
	if got := b.post("/sign-in", "name", name, "password", password); got.Code != http.StatusSeeOther {
		y.t.Fatalf("%s could not sign in: %d %s", name, got.Code, got.Body)
	}
	return b
}

// station makes a key and gives a client that sends it.
func (y *yard) station(name string) *browser {
	y.t.Helper()
	key, _, err := y.store.NewStationKey(y.t.Context(), name, y.deed())
	if err != nil {
		y.t.Fatal(err)
	}
	b := y.browser()
	b.key = key
	return b
}

// browser is a client that keeps cookies.
type browser struct {
	y       *yard
	cookies map[string]string
	key     string
	source  string
	header  map[string]string
}

func (y *yard) browser() *browser {
	return &browser{y: y, cookies: map[string]string{}, source: "192.0.2.7:1000", header: map[string]string{}}
}

func (b *browser) do(method, target, contentType, body string) *httptest.ResponseRecorder {
	b.y.t.Helper()
	r := httptest.NewRequestWithContext(b.y.t.Context(), method, target, strings.NewReader(body))
	r.RemoteAddr = b.source
	if contentType != "" {
		r.Header.Set("Content-Type", contentType)
	}
	if b.key != "" {
		r.Header.Set("Authorization", "Bearer "+b.key)
	}
	for k, v := range b.header {
		r.Header.Set(k, v)
	}
	for name, value := range b.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	w := httptest.NewRecorder()
	b.y.server.Handler().ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		if c.MaxAge < 0 {
			delete(b.cookies, c.Name)
		} else {
			b.cookies[c.Name] = c.Value
		}
	}
	return w
}

func (b *browser) get(target string) *httptest.ResponseRecorder {
	b.y.t.Helper()
	return b.do(http.MethodGet, target, "", "")
}

func (b *browser) post(target string, pairs ...string) *httptest.ResponseRecorder {
	b.y.t.Helper()
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return b.do(http.MethodPost, target, "application/x-www-form-urlencoded", form.Encode())
}

func (b *browser) json(target, body string) *httptest.ResponseRecorder {
	b.y.t.Helper()
	return b.do(http.MethodPost, target, "application/json", body)
}

// problemOf reads a problem document.
func problemOf(t *testing.T, w *httptest.ResponseRecorder) problem {
	t.Helper()
	var p problem
	if got := w.Header().Get("Content-Type"); got != "application/problem+json" {
		t.Errorf("the content type is %q", got)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		t.Fatalf("%v in %s", err, w.Body)
	}
	if p.Status != w.Code || p.Title == "" || p.RequestID != w.Header().Get("X-Request-Id") {
		t.Errorf("status %d came with the problem %+v", w.Code, p)
	}
	return p
}

// signedInAs reports whether the browser is signed in.
func (b *browser) signedIn() bool {
	b.y.t.Helper()
	return b.get("/account").Code == http.StatusOK
}
