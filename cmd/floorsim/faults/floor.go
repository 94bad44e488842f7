package faults

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// floor is the stations of a yard, each sending its reads in order until they
// are acknowledged.
type floor struct {
	client  *http.Client
	targets []string // addresses of servers
	keys    map[string]string
	posts   []*post

	// still is held for reading while a request is under way, and for writing
	// while nobody may send.
	still sync.RWMutex

	mutex sync.Mutex
	acked map[string]models.ReadRow // by id
	odd   []string                  // answers that should never come

	// How the stations misbehave just now, in thousandths of batches.
	doubling, swapping atomic.Int64
	// What clocks are wrong by.
	jump atomic.Int64 // milliseconds
}

// post is one station's sender.
type post struct {
	station string
	reads   []models.ReadRow
	next    atomic.Int64
	dice    *rand.Rand
}

func newFloor(targets []string, keys map[string]string, reads []models.ReadRow, seed uint64) *floor {
	f := &floor{
		client:  &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 64}},
		targets: targets, keys: keys, acked: map[string]models.ReadRow{},
	}
	byStation := map[string]*post{}
	for _, r := range reads {
		p := byStation[r.Station]
		if p == nil {
			p = &post{station: r.Station, dice: rand.New(rand.NewPCG(seed, uint64(len(byStation))))}
			byStation[r.Station] = p
			f.posts = append(f.posts, p)
		}
		p.reads = append(p.reads, r)
	}
	return f
}

// left is how many reads have not been sent yet.
func (f *floor) left() (n int) {
	for _, p := range f.posts {
		n += len(p.reads) - int(p.next.Load())
	}
	return n
}

// run sends until the context ends.
func (f *floor) run(ctx context.Context) {
	var all sync.WaitGroup
	for _, p := range f.posts {
		all.Go(func() { f.send(ctx, p) })
	}
	all.Wait()
}

func (f *floor) send(ctx context.Context, p *post) {
	for ctx.Err() == nil {
		from := int(p.next.Load())
		if from == len(p.reads) {
			return
		}
		first := p.batch(from, f.jump.Load())
		if len(first) == 0 {
			return
		}
		batches := [][]models.ReadRow{first}
		if to := from + len(first); to < len(p.reads) && p.chance(f.swapping.Load()) {
			batches = [][]models.ReadRow{p.batch(to, f.jump.Load()), first}
		}
		n := 0
		for _, b := range batches {
			if !f.insist(ctx, p, b) {
				return
			}
			n += len(b)
		}
		if p.chance(f.doubling.Load()) && from > 0 {
			old := p.reads[p.dice.IntN(from):from]
			f.insist(ctx, p, old[:min(len(old), 5)])
		}
		p.next.Store(int64(from + n))
	}
}

func (p *post) chance(thousandths int64) bool { return p.dice.Int64N(1000) < thousandths }

// batch is the next few reads; a wrong clock changes them for good.
func (p *post) batch(from int, jump int64) []models.ReadRow {
	to := min(len(p.reads), from+1+p.dice.IntN(6))
	for i := from; i < to && jump != 0; i++ {
		p.reads[i].At += costing.Instant(jump)
	}
	return p.reads[from:to]
}

// insist sends a batch until it is acknowledged; false when the floor closes.
func (f *floor) insist(ctx context.Context, p *post, batch []models.ReadRow) bool {
	for ctx.Err() == nil {
		f.still.RLock()
		target := f.targets[p.dice.IntN(len(f.targets))]
		err := f.post(ctx, target, p.station, batch)
		f.still.RUnlock()
		if err == nil {
			return true
		}
		select {
		case <-ctx.Done():
		case <-time.After(time.Duration(5+p.dice.IntN(40)) * time.Millisecond):
		}
	}
	return false
}

// wire is a read as the API takes it.
type wire struct {
	ID      string `json:"id"`
	Station string `json:"station"`
	N       int64  `json:"n"`
	At      string `json:"at"`
	Payload string `json:"payload"`
}

func (f *floor) post(ctx context.Context, target, station string, batch []models.ReadRow) error {
	list := make([]wire, len(batch))
	for i, r := range batch {
		list[i] = wire{r.ID, r.Station, r.N, r.At.String(), r.Payload}
	}
	body, err := json.Marshal(list)
	if err != nil {
		return err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, target+"/api/reads", bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Authorization", "Bearer "+f.keys[station])
	req.Header.Set("Content-Type", "application/json")
	if jump := f.jump.Load(); jump != 0 {
		req.Header.Set("Hulltally-Sent", costing.InstantOf(time.Now().Add(time.Duration(jump)*time.Millisecond)).String())
	}
	resp, err := f.client.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		return err
	}
	var answers []struct{ ID, Outcome string }
	if resp.StatusCode == http.StatusOK {
		err = json.Unmarshal(text, &answers)
	}
	if err != nil || resp.StatusCode != http.StatusOK || len(answers) != len(batch) {
		if resp.StatusCode < 500 && resp.StatusCode != http.StatusTooManyRequests { // ours to mend, not the weather
			f.complain(fmt.Sprintf("%s: %s: %.200s", station, resp.Status, text))
		}
		return fmt.Errorf("%s: %s", station, resp.Status)
	}
	f.mutex.Lock()
	defer f.mutex.Unlock()
	for i, a := range answers {
		if a.ID != batch[i].ID {
			f.odd = append(f.odd, fmt.Sprintf("%s: read %s was answered as %s", station, batch[i].ID, a.ID))
			continue
		}
		f.acked[batch[i].ID] = batch[i]
	}
	return nil
}

func (f *floor) complain(text string) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.odd = append(f.odd, text)
}

// acknowledged is how many reads were acknowledged so far.
func (f *floor) acknowledged() int {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return len(f.acked)
}
