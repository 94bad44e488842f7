package handlers

import (
	"context"
	"crypto/tls"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// Limits of a connection. A client that sends slowly holds a connection, not
// the server.
const (
	headerTime   = 10 * time.Second
	readTime     = 60 * time.Second
	writeTime    = 2 * time.Minute
	idleTime     = 2 * time.Minute
	headerBytes  = 32 << 10
	shutdownTime = 20 * time.Second
)

// Serve answers on a listener until the context ends. Then it lets requests in
// flight finish, and what is queued is recorded. A certificate makes it speak TLS.
func (s *Server) Serve(ctx context.Context, l net.Listener, certificate *tls.Certificate) error {
	return s.serve(ctx, l, certificate, &http.Server{
		Handler: s.handler, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime,
		IdleTimeout: idleTime, MaxHeaderBytes: headerBytes, ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	})
}

func (s *Server) serve(ctx context.Context, l net.Listener, certificate *tls.Certificate, h *http.Server) error {
	failed := make(chan error, 1)
	go func() {
		if certificate != nil {
			h.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{*certificate}}
			failed <- h.ServeTLS(l, "", "")
			return
		}
		failed <- h.Serve(l)
	}()
	select {
	case err := <-failed:
		s.Close()
		return err
	case <-ctx.Done():
	}
	quit, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	err := h.Shutdown(quit)
	s.Close() // after the last request, so that none finds the intake closed
	if errors.Is(err, context.DeadlineExceeded) {
		return errors.Join(err, h.Close())
	}
	return err
}
