package handlers

import (
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// rateClass is a bound on how often a caller may use the routes of a kind.
type rateClass string

const (
	ratePage   rateClass = "page"
	rateStatic rateClass = "static"
	rateReport rateClass = "report"
	rateSignIn rateClass = "sign-in"
	rateEnrol  rateClass = "enrol"
	rateReads  rateClass = "reads"
	rateBadKey rateClass = "bad key" // keys that turned out not to be known
)

type bound struct {
	perSecond rate.Limit
	burst     int
}

// defaultReads is far above what a station sends, so that one that was cut off
// for a shift catches up at once.
const defaultReads = 1000

func bounds(reads int) map[rateClass]bound {
	if reads == 0 {
		reads = defaultReads
	}
	read := bound{rate.Limit(reads), 2 * reads}
	if reads < 0 {
		read = bound{rate.Inf, 1}
	}
	return map[rateClass]bound{
		ratePage:   {20, 60},
		rateStatic: {100, 300},
		rateReport: {10, 60},
		rateSignIn: {2, 20},
		rateEnrol:  {0.2, 5}, // at which guessing a code takes some thousand years
		rateReads:  read,
		rateBadKey: {1, 20},
	}
}

// limits bounds how often each caller asks, by class. Callers unheard of for a
// while are forgotten.
type limits struct {
	now    func() time.Time
	bounds map[rateClass]bound

	mu    sync.Mutex
	held  map[string]*heldLimit
	swept time.Time
}

type heldLimit struct {
	limiter *rate.Limiter
	last    time.Time
}

const (
	forgetAfter = 10 * time.Minute
	mostCallers = 20_000
)

func newLimits(now func() time.Time, reads int) *limits {
	return &limits{now: now, bounds: bounds(reads), held: map[string]*heldLimit{}, swept: now()}
}

// allow counts a request of a caller, or of a source where nobody is signed in.
func (l *limits) allow(class rateClass, c Caller, source string) error {
	who := "source " + source
	switch {
	case c.KeyID != "":
		who = "key " + c.KeyID
	case c.Person != nil:
		who = "person " + c.Person.Person
	}
	return l.take(class, who)
}

// take counts one, and refuses it if that is too many.
func (l *limits) take(class rateClass, who string) error {
	limiter, now := l.limiter(class, who)
	if limiter.AllowN(now, 1) {
		return nil
	}
	return l.refuse(class)
}

// look refuses as take does, and counts nothing.
func (l *limits) look(class rateClass, who string) error {
	limiter, now := l.limiter(class, who)
	if limiter.TokensAt(now) >= 1 {
		return nil
	}
	return l.refuse(class)
}

func (l *limits) refuse(class rateClass) error {
	wait := max(1, int(1/float64(l.bounds[class].perSecond)))
	return &refusal{status: http.StatusTooManyRequests, detail: "too many requests: wait a little and try again", wait: wait}
}

var boundless = rate.NewLimiter(rate.Inf, 1)

func (l *limits) limiter(class rateClass, who string) (*rate.Limiter, time.Time) {
	b, now := l.bounds[class], l.now()
	if b.perSecond == rate.Inf {
		return boundless, now
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if now.Sub(l.swept) > forgetAfter || len(l.held) >= mostCallers {
		l.sweep(now)
	}
	key := string(class) + " " + who
	h := l.held[key]
	if h == nil {
		h = &heldLimit{limiter: rate.NewLimiter(b.perSecond, b.burst)}
		l.held[key] = h
	}
	h.last = now
	return h.limiter, now
}

// sweep forgets callers not heard of lately; of too many, all of them, which
// costs each no more than a full allowance anew.
func (l *limits) sweep(now time.Time) {
	l.swept = now
	for key, h := range l.held {
		if now.Sub(h.last) > forgetAfter {
			delete(l.held, key)
		}
	}
	if len(l.held) >= mostCallers {
		clear(l.held)
	}
}
