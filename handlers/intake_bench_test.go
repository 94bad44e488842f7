package handlers_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
	"hulltally/models/bare"
	"hulltally/models/benchtest"
	"hulltally/models/conformance"
)

// Limits of the intake over HTTP, each measured in the same run.
const (
	ofBareWriter = 0.55 // of a bare grouped writer without HTTP
	ofPlainGorm  = 4.5  // of a straightforward use of gorm
	ofGinFloor   = 0.85 // of gin answering with nothing behind it
	clients      = 64
	benchFor     = 3 * time.Second
)

// BenchmarkIntakeOverHTTP sends reads from 64 stations at once, one read a
// request, each durable before it is answered.
func BenchmarkIntakeOverHTTP(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchHTTP(b, "sqlite:"+filepath.Join(b.TempDir(), "bench.db")) })
	b.Run("postgres", func(b *testing.B) { benchHTTP(b, conformance.PostgresURL(b)) })
}

func benchHTTP(b *testing.B, url string) {
	ctx := context.Background()
	store, err := models.Open(ctx, url)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	floor := benchtest.NewFloor(b, store, clients)
	keys := make([]string, floor.Stations)
	for i := range keys {
		if keys[i], _, err = store.NewStationKey(ctx, benchtest.Station(i), models.Deed{Who: "benchmark", At: costing.InstantOf(time.Now())}); err != nil {
			b.Fatal(err)
		}
	}
	server, err := handlers.New(handlers.Options{Store: store, ReadsPerSecond: -1})
	if err != nil {
		b.Fatal(err)
	}
	defer server.Close()
	web := httptest.NewServer(server.Handler())
	defer web.Close()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: clients}}
	for b.Loop() {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		sent, waits := sendAll(b, client, web.URL, floor, keys)
		runtime.GC()
		runtime.ReadMemStats(&after)
		writer := perSecond(b, func(k int) (int, error) { return clients, bare.Write(ctx, store, clients, 2*clients*k) })
		plain := perSecond(b, func(k int) (int, error) { return 2, benchtest.Plain(ctx, store, k) })
		b.ReportMetric(sent, "reads/s")
		b.ReportMetric(sent/writer, "of-bare")
		b.ReportMetric(sent/plain, "of-plain")
		b.ReportMetric(float64(waits[len(waits)*99/100].Microseconds())/1000, "p99-ms")
		b.ReportMetric(float64(after.HeapAlloc)/(1<<20), "heap-MB")
		b.Logf("%.0f reads/s = %.2f of the bare writer (limit %.2f), %.1f × plain gorm (limit %.1f); p50 %v p99 %v max %v; heap %d → %d MB",
			sent, sent/writer, ofBareWriter, sent/plain, ofPlainGorm, waits[len(waits)/2], waits[len(waits)*99/100], waits[len(waits)-1],
			before.HeapAlloc>>20, after.HeapAlloc>>20)
	}
}

// sendAll gives the rate and every request's wait, sorted.
func sendAll(b *testing.B, client *http.Client, url string, floor *benchtest.Floor, keys []string) (float64, []time.Duration) {
	var all sync.WaitGroup
	waits := make([][]time.Duration, floor.Stations)
	began := time.Now()
	for i := range floor.Stations {
		all.Go(func() {
			for k := 0; time.Since(began) < benchFor; k++ {
				sent := time.Now()
				if err := post(client, url, keys[i], floor.Read(i, k)); err != nil {
					b.Errorf("station %d, read %d: %v", i, k, err)
					return
				}
				waits[i] = append(waits[i], time.Since(sent))
			}
		})
	}
	all.Wait()
	took := time.Since(began)
	flat := slices.Concat(waits...)
	if len(flat) == 0 {
		b.Fatal("nothing was sent")
	}
	slices.Sort(flat)
	return float64(len(flat)) / took.Seconds(), flat
}

func post(client *http.Client, url, key string, r models.ReadRow) error {
	body, err := json.Marshal(map[string]any{"id": r.ID, "station": r.Station, "n": r.N, "at": r.At.String(), "payload": r.Payload})
	if err != nil {
		return err
	}
	req, err := http.NewRequest(http.MethodPost, url+"/api/reads", bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Authorization", "Bearer "+key)
	req.Header.Set("Content-Type", "application/json")
	resp, err := client.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s: %s", resp.Status, answer)
	}
	return err
}

func perSecond(b *testing.B, do func(k int) (int, error)) float64 {
	began, sum := time.Now(), 0
	for k := 0; time.Since(began) < benchFor; k++ {
		n, err := do(k)
		if err != nil {
			b.Fatal(err)
		}
		sum += n
	}
	return float64(sum) / time.Since(began).Seconds()
}

// BenchmarkMiddleware measures requests a second with all middleware on beside
// gin with none, without a network between.
func BenchmarkMiddleware(b *testing.B) {
	store, err := models.Open(context.Background(), "sqlite:"+filepath.Join(b.TempDir(), "bench.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	server, err := handlers.New(handlers.Options{Store: store, ReadsPerSecond: -1})
	if err != nil {
		b.Fatal(err)
	}
	defer server.Close()
	gin.SetMode(gin.ReleaseMode)
	bare := gin.New()
	bare.GET("/", func(c *gin.Context) { c.String(http.StatusOK, "ok") })
	floor := httptest.NewServer(bare)
	defer floor.Close()
	web := httptest.NewServer(server.Handler())
	defer web.Close()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: clients}}
	get := func(url string) float64 {
		var all sync.WaitGroup
		counts := make([]int, clients)
		began := time.Now()
		for i := range clients {
			all.Go(func() {
				for time.Since(began) < benchFor {
					resp, err := client.Get(url)
					if err != nil {
						b.Error(err)
						return
					}
					_, _ = io.Copy(io.Discard, resp.Body)
					_ = resp.Body.Close()
					counts[i]++
				}
			})
		}
		all.Wait()
		sum := 0
		for _, n := range counts {
			sum += n
		}
		return float64(sum) / time.Since(began).Seconds()
	}
	for b.Loop() {
		limit, with := get(floor.URL), get(web.URL+"/healthz")
		b.ReportMetric(with/limit, "of-gin")
		b.Logf("%.0f requests/s with the middleware = %.2f of gin's %.0f (limit %.2f)", with, with/limit, limit, ofGinFloor)
	}
}
