package handlers

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"strings"
)

// policy allows a page what comes from this server, and nothing inline.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"font-src 'none'; frame-ancestors 'none'; form-action 'self'; base-uri 'none'; worker-src 'self'; manifest-src 'self'"

// trace is what is known of a request while it is answered.
type trace struct {
	id, source, route, who string
	err                    error
	session                *foundSession
}

type traceKey struct{}

func traceOf(ctx context.Context) *trace {
	if t, ok := ctx.Value(traceKey{}).(*trace); ok {
		return t
	}
	return &trace{}
}

// outer surrounds everything: request id, headers, log, and one answer to a panic.
func (s *Server) outer(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		t := &trace{id: rand.Text(), source: s.source(r)}
		begun := s.now()
		h := w.Header()
		h.Set("X-Request-Id", t.id)
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "geolocation=(), microphone=(), payment=(), usb=()")
		if s.secure {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		rec := &recorder{ResponseWriter: w}
		r = r.WithContext(context.WithValue(r.Context(), traceKey{}, t))
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				t.err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
				if rec.status == 0 {
					s.answer(rec, r, describeError(errPanic), t)
				}
			}
			s.logRequest(r, rec, t, s.now().Sub(begun).Milliseconds())
		}()
		next.ServeHTTP(rec, r)
	})
}

// logRequest writes one line: the route and not the path, for a path or a query
// may hold a secret. What went wrong with us is in the log and nowhere else.
func (s *Server) logRequest(r *http.Request, rec *recorder, t *trace, ms int64) {
	level := slog.LevelInfo
	attrs := []slog.Attr{
		slog.String("id", t.id), slog.String("method", r.Method), slog.String("route", t.route), slog.Int("status", rec.status),
		slog.Int64("bytes", rec.bytes), slog.Int64("ms", ms), slog.String("source", t.source),
	}
	if t.who != "" {
		attrs = append(attrs, slog.String("who", t.who))
	}
	if t.err != nil {
		level = slog.LevelError
		attrs = append(attrs, slog.String("error", t.err.Error()))
	}
	s.log.LogAttrs(r.Context(), level, "request", attrs...)
}

// guard refuses what another origin's page makes a browser send.
func (s *Server) guard(next http.Handler) http.Handler {
	cop := http.NewCrossOriginProtection()
	cop.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.answer(w, r, describeError(errOrigin), traceOf(r.Context()))
	}))
	return cop.Handler(next)
}

// withSession loads the session, but for callers with a key, who have none.
func (s *Server) withSession(next http.Handler) http.Handler {
	loaded := s.sessions.LoadAndSave(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if sessionless(r) {
			next.ServeHTTP(w, r)
			return
		}
		loaded.ServeHTTP(w, r)
	})
}

// sessionless reports whether a request has no session: it bears a key, or asks
// for what is the same for everybody.
func sessionless(r *http.Request) bool {
	switch r.URL.Path {
	case "/healthz", stationPath, storesPath, stationWorkerPath:
		return true
	}
	return r.Header.Get("Authorization") != "" || strings.HasPrefix(r.URL.Path, "/static/") || strings.HasPrefix(r.URL.Path, "/lang/")
}

// source is where a request came from: an address, or of IPv6 the network,
// which is what one sender has to itself.
func (s *Server) source(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	if s.proxy {
		hops := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
		if last := strings.TrimSpace(hops[len(hops)-1]); last != "" {
			host = last
		}
	}
	addr, err := netip.ParseAddr(host)
	if err != nil {
		return "unknown"
	}
	addr = addr.Unmap().WithZone("")
	if addr.Is6() {
		if network, err := addr.Prefix(64); err == nil {
			return network.String()
		}
	}
	return addr.String()
}

// recorder remembers what was answered.
type recorder struct {
	http.ResponseWriter
	status int
	bytes  int64
}

func (r *recorder) WriteHeader(status int) {
	if r.status == 0 {
		r.status = status
	}
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(b []byte) (int, error) {
	if r.status == 0 {
		r.status = http.StatusOK
	}
	n, err := r.ResponseWriter.Write(b)
	r.bytes += int64(n)
	return n, err
}

// Flush implements http.Flusher for answers that come bit by bit.
func (r *recorder) Flush() {
	if f, ok := r.ResponseWriter.(http.Flusher); ok {
		f.Flush()
	}
}

// Unwrap lets http.ResponseController through.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }
