package handlers

import (
	"context"
	"crypto/sha256"
	"sync"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// keyring remembers the keys in force for a moment, so that a busy station does
// not ask the database for each read.
type keyring struct {
	store *models.Store
	now   func() time.Time

	mu    sync.Mutex
	known map[string]*heldKey
}

type heldKey struct {
	row   models.StationKeyRow
	asked time.Time
	noted time.Time
}

const (
	keyHeld  = time.Second // a key revoked elsewhere is refused after this at the latest
	keyNoted = time.Minute // how stale the last use may be
	mostKeys = 10_000
)

// held is a key that was in force when it was last looked up; fresh says that
// this was a moment ago.
func (k *keyring) held(id string) (h *heldKey, fresh bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	h = k.known[id]
	return h, h != nil && k.now().Sub(h.asked) < keyHeld
}

// forget makes every key be looked up anew.
func (k *keyring) forget() {
	k.mu.Lock()
	defer k.mu.Unlock()
	clear(k.known)
}

// find looks a key up; nil if it is not in force.
func (k *keyring) find(ctx context.Context, id, key string, before *heldKey) (*heldKey, error) {
	now := k.now()
	row, err := k.store.StationOf(ctx, key)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if row == nil {
		delete(k.known, id)
		return nil, nil
	}
	h := &heldKey{row: *row, asked: now}
	if before != nil {
		h.noted = before.noted
	}
	if len(k.known) >= mostKeys {
		clear(k.known)
	}
	k.known[id] = h
	return h, nil
}

// use notes now and then that a key was used.
func (k *keyring) use(ctx context.Context, h *heldKey) error {
	now := k.now()
	k.mu.Lock()
	due := now.Sub(h.noted) >= keyNoted
	if due {
		h.noted = now
	}
	k.mu.Unlock()
	if !due {
		return nil
	}
	return k.store.KeyUsed(ctx, h.row.ID, costing.InstantOf(now))
}

// keyHolder is the station of a key. Wrong keys are counted by source; a key
// that was good a moment ago is never held up by them.
func (s *Server) keyHolder(v *Visit, key string) (Caller, error) {
	ctx := v.Request.Context()
	sum := sha256.Sum256([]byte(key))
	id := string(sum[:])
	h, fresh := s.keys.held(id)
	if !fresh {
		source := traceOf(ctx).source
		if h == nil {
			if err := s.limits.look(rateBadKey, source); err != nil {
				return Caller{}, err
			}
		}
		var err error
		if h, err = s.keys.find(ctx, id, key, h); err != nil {
			return Caller{}, err
		}
		if h == nil {
			_ = s.limits.take(rateBadKey, source) // counts it; the answer is the same
			return Caller{}, errKey
		}
	}
	if err := s.keys.use(ctx, h); err != nil {
		return Caller{}, err
	}
	return Caller{Role: models.Station, Station: h.row.Station, KeyID: h.row.ID}, nil
}
