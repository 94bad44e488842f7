package load

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/google/uuid"

	"hulltally/costing"
)

// arrival is a read at the instant when somebody scans it.
type arrival struct {
	after   time.Duration // the beginning
	station int
	payload string
}

// queue is what a station has scanned and not brought to the server yet.
type queue struct {
	name, key, url string
	client         *http.Client
	n              int64

	mutex   sync.Mutex
	waiting []scanned
	wake    chan struct{}

	waits  []time.Duration
	failed int
}

type scanned struct {
	read wire
	at   time.Time
}

type wire struct {
	ID      string `json:"id"`
	Station string `json:"station"`
	N       int64  `json:"n"`
	At      string `json:"at"`
	Payload string `json:"payload"`
}

// mostAtOnce is how many reads a station sends in one request.
const mostAtOnce = 500

func (q *queue) scan(payload string) {
	now := time.Now()
	q.mutex.Lock()
	q.n++
	q.waiting = append(q.waiting, scanned{wire{uuid.NewString(), q.name, q.n, costing.InstantOf(now).String(), payload}, now})
	q.mutex.Unlock()
	select {
	case q.wake <- struct{}{}:
	default:
	}
}

// run sends what waits, in order, one request at a time, until the context
// ends and nothing waits.
func (q *queue) run(ctx context.Context) {
	for {
		q.mutex.Lock()
		batch := slices.Clone(q.waiting[:min(len(q.waiting), mostAtOnce)])
		q.mutex.Unlock()
		if len(batch) == 0 {
			select {
			case <-q.wake:
				continue
			case <-ctx.Done():
				return
			}
		}
		if err := q.post(batch); err != nil {
			q.failed++
			if q.failed > 1000 {
				return
			}
			time.Sleep(20 * time.Millisecond)
			continue
		}
		now := time.Now()
		for _, s := range batch {
			q.waits = append(q.waits, now.Sub(s.at))
		}
		q.mutex.Lock()
		q.waiting = q.waiting[len(batch):]
		q.mutex.Unlock()
	}
}

func (q *queue) post(batch []scanned) error {
	reads := make([]wire, len(batch))
	for i := range batch {
		reads[i] = batch[i].read
	}
	body, err := json.Marshal(reads)
	if err != nil {
		return err
	}
	req, err := http.NewRequest(http.MethodPost, q.url+"/api/reads", bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Authorization", "Bearer "+q.key)
	req.Header.Set("Content-Type", "application/json")
	resp, err := q.client.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s: %.200s", resp.Status, text)
	}
	return err
}

// Waits says how long reads waited from the scan to the acknowledgement.
type Waits struct {
	Reads, Failed int // acknowledged; requests that failed and were sent again
	Took          time.Duration
	P50, P99, Max time.Duration
}

// drive lets the arrivals happen at their instants and waits until everything
// is acknowledged.
func (y *yard) drive(ctx context.Context, urls []string, arrivals []arrival) Waits {
	client := &http.Client{Timeout: time.Minute, Transport: &http.Transport{MaxIdleConnsPerHost: 4 * y.stations}}
	queues := make([]*queue, y.stations)
	sending, stop := context.WithCancel(ctx)
	var all sync.WaitGroup
	for i := range queues {
		name := stationName(i)
		queues[i] = &queue{name: name, key: y.keys[name], url: urls[i%len(urls)], client: client, wake: make(chan struct{}, 1), n: time.Now().UnixMilli() * 1000}
		all.Go(func() { queues[i].run(sending) })
	}
	slices.SortStableFunc(arrivals, func(a, b arrival) int { return int(a.after - b.after) })
	began := time.Now()
	for _, a := range arrivals {
		if d := time.Until(began.Add(a.after)); d > 0 {
			time.Sleep(d)
		}
		queues[a.station].scan(a.payload)
	}
	stop()
	all.Wait()
	w := Waits{Took: time.Since(began)}
	var waits []time.Duration
	for _, q := range queues {
		waits = append(waits, q.waits...)
		w.Failed += q.failed
	}
	slices.Sort(waits)
	if w.Reads = len(waits); w.Reads > 0 {
		w.P50, w.P99, w.Max = waits[len(waits)/2], waits[len(waits)*99/100], waits[len(waits)-1]
	}
	return w
}
