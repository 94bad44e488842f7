// Package ownertest holds the owner's pages to the reports they are made of, on
// the demonstration yard, and drives them in a real browser. A machine without
// Chromium fails.
package ownertest

import (
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"hulltally/cmd/floorsim/sim"
	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

const password = "coffee before the yard"

// now is a morning after the demonstration yard's last day; then is one in the
// middle, when bookings ran and much was still to do.
var (
	now  = time.Date(2026, time.November, 2, 6, 0, 0, 0, time.UTC)
	then = "2026-08-31"
)

// yard is a server over the demonstration yard. All tests share one, since it
// takes a while to load and none of them writes to its books.
type yard struct {
	store *models.Store
	url   string
	close func()
}

var demo struct {
	sync.Once
	*yard
	err error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if demo.yard != nil {
		demo.close()
	}
	os.Exit(code)
}

func theYard(t testing.TB) *yard {
	t.Helper()
	demo.Do(func() { demo.yard, demo.err = newYard() })
	if demo.err != nil {
		t.Fatal(demo.err)
	}
	return demo.yard
}

func newYard() (*yard, error) {
	dir, err := os.MkdirTemp("", "hulltally-owner")
	if err != nil {
		return nil, err
	}
	files := filepath.Join(dir, "yard")
	if err := sim.Generate(sim.Default()).WriteYard(files); err != nil {
		return nil, err
	}
	ctx := context.Background()
	store, err := models.Open(ctx, "sqlite:"+filepath.Join(dir, "yard.db"))
	if err != nil {
		return nil, err
	}
	if _, err := store.Load(ctx, files, models.LoadOptions{Now: costing.InstantOf(now), Who: "test"}); err != nil {
		return nil, err
	}
	y, err := serve(store)
	if err != nil {
		return nil, err
	}
	closeYard := y.close
	y.close = func() {
		closeYard()
		_ = os.RemoveAll(dir)
	}
	return y, nil
}

// serve is a server over a store, with somebody of every role.
func serve(store *models.Store) (*yard, error) {
	ctx := context.Background()
	deed := models.Deed{Who: "test", Source: "test", At: costing.InstantOf(now)}
	for _, role := range models.PeopleRoles {
		if _, err := store.AddPerson(ctx, models.NewPerson{Name: string(role), Role: role, Password: password}, deed); err != nil {
			return nil, err
		}
	}
	clock := &ticking{begun: time.Now()}
	server, err := handlers.New(handlers.Options{Store: store, Now: clock.now})
	if err != nil {
		return nil, err
	}
	web := httptest.NewServer(server.Handler())
	return &yard{store, web.URL, func() {
		web.Close()
		server.Close()
		_ = store.Close() // its folder may be gone next
	}}, nil
}

// ticking is a clock that begins at now, and ticks: sessions are told apart by time.
type ticking struct{ begun time.Time }

func (c *ticking) now() time.Time { return now.Add(time.Since(c.begun)) }

// visitor is somebody's browser without a screen.
type visitor struct {
	t    testing.TB
	y    *yard
	http *http.Client
}

// as is a visitor of a role, signed in.
func (y *yard) as(t testing.TB, role models.Role) *visitor {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	v := &visitor{t, y, &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	answer, err := v.http.PostForm(y.url+"/sign-in", url.Values{"name": {string(role)}, "password": {password}})
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s could not sign in: %s", role, answer.Status)
	}
	return v
}

// get fetches a page or a report.
func (v *visitor) get(path string) (status int, body []byte) {
	v.t.Helper()
	answer, err := v.http.Get(v.y.url + path)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err = io.ReadAll(answer.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return answer.StatusCode, body
}

// page fetches what must be there.
func (v *visitor) page(path string) string {
	v.t.Helper()
	status, body := v.get(path)
	if status != http.StatusOK {
		v.t.Fatalf("%s gave %d: %s", path, status, body)
	}
	return string(body)
}

// BenchmarkPages measures the server's time for each page beside that of
// reading the totals it is made of.
func BenchmarkPages(b *testing.B) {
	y := theYard(b)
	o := y.as(b, models.Owner)
	read := time.Duration(1)
	b.Run("totals", func(b *testing.B) {
		begun := time.Now()
		for b.Loop() {
			if err := y.store.Read(b.Context(), func(tx *models.Tx) error {
				_, err := tx.Totals(b.Context())
				return err
			}); err != nil {
				b.Fatal(err)
			}
		}
		read = time.Since(begun) / time.Duration(b.N)
	})
	for _, path := range []string{"/board", "/hull/H203", "/hull/H203/stage/FAIRX", "/postings?hull=H203&stage=FAIRX&element=labour"} {
		b.Run(strings.Trim(strings.NewReplacer("/", " ", "?", " ").Replace(path), " "), func(b *testing.B) {
			begun := time.Now()
			for b.Loop() {
				o.page(path)
			}
			b.ReportMetric(float64(time.Since(begun)/time.Duration(b.N))/float64(read), "×totals")
		})
	}
}
