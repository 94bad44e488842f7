package handlers

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"hulltally/models"
)

// refusal is an error of the HTTP side itself.
type refusal struct {
	status int
	detail string
	wait   int // seconds until it is worth trying again
}

func (r *refusal) Error() string { return r.detail }

// Refusals that every route can give.
var (
	errNoPage    = &refusal{status: http.StatusNotFound, detail: "there is nothing here: check the address"}
	errMethod    = &refusal{status: http.StatusMethodNotAllowed, detail: "this address does not take that method"}
	errWho       = &refusal{status: http.StatusUnauthorized, detail: "sign in first, or send a station's key"}
	errKey       = &refusal{status: http.StatusUnauthorized, detail: "the key is not known or was revoked: enrol the station again"}
	errMayNot    = &refusal{status: http.StatusForbidden, detail: "this is not for your role: ask the owner"}
	errOrigin    = &refusal{status: http.StatusForbidden, detail: "the request came from another site's page: open this server's own page"}
	errMediaType = &refusal{status: http.StatusUnsupportedMediaType, detail: "the body is of a type that is not taken here"}
	errPanic     = &refusal{status: http.StatusInternalServerError, detail: "something went wrong here; it is noted under the request id"}
)

// readFault is one thing wrong with a read of a batch.
type readFault struct {
	Index  int    `json:"index"`
	Field  string `json:"field"`
	Detail string `json:"detail"`
}

// readFaults are the things wrong with a body of reads.
type readFaults []readFault

func (f readFaults) Error() string {
	if f[0].Field == "" {
		return fmt.Sprintf("read %d %s; nothing was recorded", f[0].Index, f[0].Detail)
	}
	return fmt.Sprintf("read %d: %s: %s; nothing was recorded", f[0].Index, f[0].Field, f[0].Detail)
}

// problem is an RFC 9457 problem document, with members of our own after Detail.
type problem struct {
	Type      string      `json:"type"`
	Title     string      `json:"title"`
	Status    int         `json:"status"`
	Detail    string      `json:"detail"`
	RequestID string      `json:"request_id"`
	Index     *int        `json:"index,omitempty"`
	Field     string      `json:"field,omitempty"`
	Errors    []readFault `json:"errors,omitempty"`

	wait int
}

// statusOf is the one place where kinds of errors become statuses.
func statusOf(kind models.Kind) int {
	switch kind {
	case models.Invalid:
		return http.StatusUnprocessableEntity
	case models.NotFound:
		return http.StatusNotFound
	case models.Conflict:
		return http.StatusConflict
	case models.Denied:
		return http.StatusForbidden
	}
	return http.StatusInternalServerError
}

// describeError puts an error into a problem. The text of one that is ours
// stays in the log.
func describeError(err error) problem {
	p := problem{Type: "about:blank"}
	var r *refusal
	var large *http.MaxBytesError
	var faults readFaults
	switch {
	case errors.As(err, &r):
		p.Status, p.Detail, p.wait = r.status, r.detail, r.wait
	case errors.As(err, &faults):
		p.Status, p.Detail = http.StatusUnprocessableEntity, faults.Error()
		p.Index, p.Field, p.Errors = &faults[0].Index, faults[0].Field, faults
	case errors.As(err, &large):
		p.Status, p.Detail = http.StatusRequestEntityTooLarge, fmt.Sprintf("the body may have at most %d bytes: send less at once", large.Limit)
	case errors.Is(err, models.ErrStopped):
		p.Status, p.Detail, p.wait = http.StatusServiceUnavailable, models.ErrStopped.Error(), 5
	default:
		p.Status, p.Detail = statusOf(models.KindOf(err)), err.Error()
		if p.Status == http.StatusInternalServerError {
			p.Detail = errPanic.detail
		}
	}
	p.Title = http.StatusText(p.Status)
	return p
}

// fail answers with an error.
func (s *Server) fail(c *gin.Context, err error) {
	c.Abort()
	t := traceOf(c.Request.Context())
	p := describeError(err)
	if p.Status >= http.StatusInternalServerError {
		t.err = err
	}
	if c.Writer.Written() {
		t.err = fmt.Errorf("failed while answering: %w", err)
		return
	}
	if p.Status == http.StatusUnauthorized && c.Request.Method == http.MethodGet && wantsPage(c.Request) {
		c.Redirect(http.StatusSeeOther, "/sign-in?next="+queryEscape(c.Request.URL.Path))
		return
	}
	s.answer(c.Writer, c.Request, p, t)
}

// answer writes a problem: a document for programs, a plain page for people.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, p problem, t *trace) {
	p.RequestID = t.id
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Del("Content-Encoding")
	if p.wait > 0 {
		h.Set("Retry-After", strconv.Itoa(p.wait))
	}
	if p.Status == http.StatusUnauthorized {
		h.Set("WWW-Authenticate", `Bearer realm="hulltally"`)
	}
	if wantsPage(r) {
		h.Set("Content-Type", "text/html; charset=utf-8")
		w.WriteHeader(p.Status)
		if err := s.pages.fault(w, p); err != nil {
			t.err = errors.Join(t.err, err)
		}
		return
	}
	h.Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the client may be gone
}
