package handlers

import (
	"context"
	"encoding/json"
	"errors"
	"strconv"
	"time"

	"github.com/alexedwards/scs/v2"

	"hulltally/models"
)

const (
	sessionIdle     = time.Hour
	sessionLifetime = 12 * time.Hour
	// sessionNoted is how stale the noted last use may be: not every request
	// has to write.
	sessionNoted = time.Minute
)

// Keys of what a session holds.
const (
	sessionPerson  = "person"
	sessionEpoch   = "epoch"
	sessionPending = "pending" // the password was right, the code is missing
	sessionNext    = "next"
	sessionSecret  = "secret" // of a second factor that is being set
	sessionFlash   = "flash"
	sessionShown   = "shown" // a secret that the next page shows, once
)

func newSessions(store *models.Store, now func() time.Time, secure bool) *scs.SessionManager {
	m := scs.New()
	m.Store = &sessionStore{store, now}
	m.Codec = jsonCodec{}
	m.HashTokenInStore = true
	m.IdleTimeout, m.Lifetime = sessionIdle, sessionLifetime
	m.Cookie.Name = "hulltally"
	if secure {
		m.Cookie.Name = "__Host-hulltally" // browsers take it over TLS and from this host only
		m.Cookie.Secure = true
	}
	m.Cookie.Persist = false
	return m
}

// jsonCodec gives equal sessions equal bytes, so that an unchanged one can be told.
type jsonCodec struct{}

type sessionForm struct {
	Deadline time.Time         `json:"deadline"`
	Values   map[string]string `json:"values"`
}

// Encode implements scs.Codec. Only text is kept in sessions.
func (jsonCodec) Encode(deadline time.Time, values map[string]any) ([]byte, error) {
	form := sessionForm{deadline.UTC(), map[string]string{}}
	for k, v := range values {
		text, ok := v.(string)
		if !ok {
			return nil, errors.New("a session keeps text only")
		}
		form.Values[k] = text
	}
	return json.Marshal(form)
}

// Decode implements scs.Codec.
func (jsonCodec) Decode(b []byte) (time.Time, map[string]any, error) {
	var form sessionForm
	if err := json.Unmarshal(b, &form); err != nil {
		return time.Time{}, nil, err
	}
	values := map[string]any{}
	for k, v := range form.Values {
		values[k] = v
	}
	return form.Deadline, values, nil
}

// sessionStore keeps sessions in the yard's database.
type sessionStore struct {
	store *models.Store
	now   func() time.Time
}

// foundSession is a session as it was found at the start of a request.
type foundSession struct {
	data    string
	expires time.Time
}

// FindCtx implements scs.CtxStore.
func (s *sessionStore) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	data, expires, found, err := s.store.FindSession(ctx, token, s.now())
	if found {
		traceOf(ctx).session = &foundSession{string(data), expires}
	}
	return data, found, err
}

// CommitCtx implements scs.CtxStore.
func (s *sessionStore) CommitCtx(ctx context.Context, token string, b []byte, expiry time.Time) error {
	was := traceOf(ctx).session
	if was != nil && was.data == string(b) && expiry.Sub(was.expires) < sessionNoted {
		return nil
	}
	return s.store.SaveSession(ctx, token, b, expiry, s.now())
}

// DeleteCtx implements scs.CtxStore.
func (s *sessionStore) DeleteCtx(ctx context.Context, token string) error {
	traceOf(ctx).session = nil // what comes next is written under another token
	return s.store.DropSession(ctx, token)
}

// Find implements scs.Store.
func (s *sessionStore) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit implements scs.Store.
func (s *sessionStore) Commit(token string, b []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, b, expiry)
}

// Delete implements scs.Store.
func (s *sessionStore) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }

// signedIn is the person of the session; nil if there is none. A session of
// before a new password or a bar is over.
func (s *Server) signedIn(ctx context.Context) (*models.PersonRow, error) {
	name := s.sessions.GetString(ctx, sessionPerson)
	if name == "" {
		return nil, nil
	}
	p, err := s.store.Person(ctx, name)
	if err != nil {
		return nil, err
	}
	if p == nil || p.Barred() || s.sessions.GetString(ctx, sessionEpoch) != epochOf(p) {
		return nil, s.sessions.Destroy(ctx)
	}
	return p, nil
}

func epochOf(p *models.PersonRow) string { return strconv.FormatInt(p.Epoch, 10) }

// begin starts a person's session under a new token: one that somebody else
// planted before is worth nothing.
func (s *Server) begin(ctx context.Context, p *models.PersonRow) error {
	if err := s.sessions.Clear(ctx); err != nil {
		return err
	}
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, sessionPerson, p.Person)
	s.sessions.Put(ctx, sessionEpoch, epochOf(p))
	return nil
}
