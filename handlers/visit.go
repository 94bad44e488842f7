package handlers

import (
	"errors"
	"net/http"
	"strings"

	"github.com/gin-contrib/gzip"
	"github.com/gin-gonic/gin"

	"hulltally/models"
)

// Caller is who asks. The zero value is nobody.
type Caller struct {
	Role    models.Role
	Person  *models.PersonRow
	Station string
	KeyID   string
}

// Name is how the caller is called in the logbook and the access log.
func (c Caller) Name() string {
	switch {
	case c.Person != nil:
		return c.Person.Name
	case c.Station != "":
		return "station " + c.Station
	}
	return ""
}

// Visit is one request to a route by a caller who may.
type Visit struct {
	*gin.Context
	Server *Server
	Route  *Route
	Caller Caller
}

// chain is what every request to a route goes through, in order: who is it, how
// often, may they, how much.
func (s *Server) chain(r *Route) []gin.HandlerFunc {
	visit := func(c *gin.Context) {
		t := traceOf(c.Request.Context())
		t.route = r.Path
		v := &Visit{Context: c, Server: s, Route: r}
		err := s.admit(v)
		if err == nil {
			err = r.Do(s, v)
		}
		if err != nil {
			s.fail(c, err)
		}
	}
	if r.Zip {
		return []gin.HandlerFunc{gzip.Gzip(gzip.BestSpeed), visit}
	}
	return []gin.HandlerFunc{visit}
}

func (s *Server) admit(v *Visit) error {
	t := traceOf(v.Request.Context())
	caller, err := s.caller(v)
	if err != nil {
		return err
	}
	v.Caller, t.who = caller, caller.Name()
	if err := s.limits.allow(v.Route.Rate, caller, t.source); err != nil {
		return err
	}
	if !v.Route.Who.allow(caller.Role) {
		if caller.Role == nobody {
			return errWho
		}
		return errMayNot
	}
	v.Header("Cache-Control", "no-store") // unless the handler knows better
	v.Request.Body = http.MaxBytesReader(v.Writer, v.Request.Body, v.Route.Body)
	return nil
}

// caller tells who asks, by key or by session.
func (s *Server) caller(v *Visit) (Caller, error) {
	if header := v.Request.Header.Get("Authorization"); header != "" {
		scheme, key, _ := strings.Cut(header, " ")
		if !strings.EqualFold(scheme, "Bearer") {
			return Caller{}, errKey
		}
		return s.keyHolder(v, strings.TrimSpace(key))
	}
	if sessionless(v.Request) {
		return Caller{}, nil
	}
	p, err := s.signedIn(v.Request.Context())
	if err != nil || p == nil {
		return Caller{}, err
	}
	return Caller{Role: p.Role, Person: p}, nil
}

// Redirect sends a browser to another page after a form.
func (v *Visit) Redirect(to string) error {
	v.Context.Redirect(http.StatusSeeOther, to)
	return nil
}

// Form is a field of a posted form. The form was read with its limits before.
func (v *Visit) Form(field string) string { return v.Request.PostForm.Get(field) }

// readForm reads a posted form: text that is no UTF-8 or holds a NUL is refused
// whole, so that no handler meets it.
func (v *Visit) readForm() error {
	if !strings.HasPrefix(v.ContentType(), "application/x-www-form-urlencoded") {
		return errMediaType
	}
	if err := v.Request.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return models.Errorf(models.Invalid, "the form cannot be read: send it again from the page")
	}
	for field, values := range v.Request.PostForm {
		if len(values) > 1 {
			return models.Errorf(models.Invalid, "the form gives %.40q twice: send it again from the page", field)
		}
		if err := readable(values[0]); err != nil {
			return err
		}
	}
	return nil
}

// wantsPage reports whether the answer is for a person to look at.
func wantsPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/api/") && r.URL.Path != "/healthz" &&
		!strings.Contains(r.Header.Get("Accept"), "application/json")
}
