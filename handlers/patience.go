package handlers

import (
	"fmt"
	"net/http"
	"sync"
	"time"
)

// patience slows down who tries passwords. It counts by source and name, and
// more generously by source: nobody can be kept out by somebody else's wrong
// tries from elsewhere, for an account is never locked.
type patience struct {
	now func() time.Time

	mu    sync.Mutex
	tries map[string]*trying
}

type trying struct {
	count int
	next  time.Time // when the next try is taken
	last  time.Time
}

const (
	freeTries       = 3  // of one name from one source
	freeSourceTries = 30 // of any names from one source
	longestWait     = time.Minute
	patienceLasts   = 15 * time.Minute
	mostTries       = 50_000
)

// begin counts a try before its outcome is known, so that many at once gain
// nothing. It says no while the source has to wait.
func (p *patience) begin(source, name string) error {
	now := p.now()
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.tries) >= mostTries {
		p.sweep(now)
	}
	pair, all := p.get(source+"\x00"+name, now), p.get(source, now)
	if wait := max(pair.next.Sub(now), all.next.Sub(now)); wait > 0 {
		seconds := int((wait + time.Second - 1) / time.Second)
		return &refusal{
			status: http.StatusTooManyRequests, wait: seconds,
			detail: fmt.Sprintf("too many tries from here: wait %d s and try again", seconds),
		}
	}
	pair.try(now, freeTries)
	all.try(now, freeSourceTries)
	return nil
}

// worked forgets the wrong tries of a name from a source.
func (p *patience) worked(source, name string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.tries, source+"\x00"+name)
	if all := p.tries[source]; all != nil {
		all.count = max(0, all.count-1)
	}
}

func (p *patience) get(key string, now time.Time) *trying {
	t := p.tries[key]
	if t == nil || now.Sub(t.last) > patienceLasts {
		t = &trying{last: now}
		p.tries[key] = t
	}
	return t
}

// try doubles the wait with every try past the free ones.
func (t *trying) try(now time.Time, free int) {
	t.count++
	t.last = now
	if over := t.count - free; over >= 0 {
		t.next = now.Add(min(time.Second<<min(over, 10), longestWait))
	}
}

func (p *patience) sweep(now time.Time) {
	for key, t := range p.tries {
		if now.Sub(t.last) > patienceLasts {
			delete(p.tries, key)
		}
	}
	if len(p.tries) >= mostTries {
		clear(p.tries)
	}
}
