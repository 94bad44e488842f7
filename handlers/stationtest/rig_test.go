// Package stationtest drives the station's page in a real browser. A machine
// without Chromium fails.
package stationtest

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"sync/atomic"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
	"hulltally/models/conformance"
)

// Codes of the tiny yard.
const (
	ilse = "P3F7K2E2" // a team leader
	tome = "P3F7K2HX"
	job1 = "J0000019"
	off  = "K000001T"
	lot1 = "L000001C"
)

// yard is a server over the tiny yard; cut makes it unreachable.
type yard struct {
	t     *testing.T
	store *models.Store
	url   string
	away  atomic.Bool // drops every connection
	asked atomic.Int64
}

func newYard(t *testing.T) *yard {
	t.Helper()
	y := &yard{t: t, store: conformance.SQLite(t)}
	if _, err := y.store.Load(t.Context(), conformance.Tiny(), models.LoadOptions{Now: conformance.Now, Who: "test"}); err != nil {
		t.Fatal(err)
	}
	server, err := handlers.New(handlers.Options{Store: y.store, ReadsPerSecond: -1})
	if err != nil {
		t.Fatal(err)
	}
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if y.away.Load() {
			panic(http.ErrAbortHandler)
		}
		y.asked.Add(1)
		server.Handler().ServeHTTP(w, r)
	}))
	t.Cleanup(func() { web.Close(); server.Close() })
	_, port, err := net.SplitHostPort(web.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	y.url = "http://localhost:" + port // a secure context, so that the page has its service worker
	return y
}

// code makes a code that enrols a station.
func (y *yard) code(station string) string {
	y.t.Helper()
	code, err := y.store.NewEnrolCode(y.t.Context(), station, models.Deed{Who: "test", At: instantNow()})
	if err != nil {
		y.t.Fatal(err)
	}
	return code
}

func instantNow() costing.Instant { return costing.InstantOf(time.Now()) }

// scanAt sends payloads as from a station, a second apart.
func (y *yard) scanAt(key string, at costing.Instant, payloads ...string) {
	y.t.Helper()
	for i, p := range payloads {
		at += 1000
		body := fmt.Sprintf(`{"id":"6f1c2a34-0b5d-4e6f-8a90-%012d","n":%d,"at":%q,"payload":%q}`, int64(at)%1e12, i+1, at, p)
		if status := y.post(key, body, ""); status != http.StatusOK {
			y.t.Fatalf("a read of %s gave %d", p, status)
		}
	}
}

// query gives the first column of rows.
func (y *yard) query(sql string, args ...any) (list []string) {
	y.t.Helper()
	err := y.store.Read(y.t.Context(), func(tx *models.Tx) error { return tx.DB.Raw(sql, args...).Scan(&list).Error })
	if err != nil {
		y.t.Fatal(err)
	}
	return list
}
