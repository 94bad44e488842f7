package handlers

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"
	"unicode/utf8"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

//go:embed templates
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

// pages are the templates, each with the layout around it.
type pages struct {
	byName map[string]*template.Template
	hashes map[string]string // of the static files, by name

	languages []floorLanguage
}

// page is what the layout and a page's template are given.
type page struct {
	Title string
	Nav   []navItem
	Who   string
	Role  models.Role
	Flash string
	Data  any
}

// navItem is a page in the navigation.
type navItem struct {
	Path, Label string
	Here        bool
	Count       int // of what waits there
}

func readPages() (*pages, error) {
	p := &pages{byName: map[string]*template.Template{}, hashes: map[string]string{}}
	if err := fs.WalkDir(staticFiles, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := staticFiles.ReadFile(name)
		sum := sha256.Sum256(text)
		p.hashes[strings.TrimPrefix(name, "static/")] = hex.EncodeToString(sum[:6])
		return err
	}); err != nil {
		return nil, err
	}
	var err error
	if p.languages, err = readLanguages(); err != nil {
		return nil, err
	}
	layout, err := template.New("layout.html").Funcs(p.functions()).ParseFS(templateFiles, "templates/layout.html", "templates/parts/*.html")
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		t, err := layout.Clone()
		if err == nil {
			t, err = t.ParseFS(templateFiles, name)
		}
		if err != nil {
			return nil, err
		}
		p.byName[path.Base(name)] = t
	}
	return p, nil
}

// functions are what templates may call.
func (p *pages) functions() template.FuncMap {
	return template.FuncMap{
		// asset is the address of a static file; it changes with the file.
		"asset": func(name string) (string, error) {
			hash, ok := p.hashes[name]
			if !ok {
				return "", fmt.Errorf("there is no static file %s", name)
			}
			return "/static/" + name + "?v=" + hash, nil
		},
		"cell": cell,
		// problems are what the pictures of the problem card show.
		"problems": func() []clock.ProblemKind { return clock.ProblemKinds },
		"when": func(at costing.Instant) string {
			if at == 0 {
				return "never"
			}
			return at.Time().Format("2006-01-02 15:04") + " UTC"
		},
		"stamp": func(at costing.Instant) string { return at.Time().Format(time.RFC3339) },
	}
}

// Page answers with a page: its template from templates, its title and what the
// template is given as .Data.
func (v *Visit) Page(name, title string, data any) error {
	return v.pageAs(http.StatusOK, name, title, data)
}

func (v *Visit) pageAs(status int, name, title string, data any) error {
	p := page{Title: title, Data: data, Role: v.Caller.Role, Nav: v.Server.nav(v)}
	if v.Caller.Person != nil {
		p.Who = v.Caller.Person.Name
	}
	if !sessionless(v.Request) {
		p.Flash = v.Server.sessions.PopString(v.Request.Context(), sessionFlash)
	}
	var b bytes.Buffer // whole before the first byte goes out: a fault is a page of its own
	t, ok := v.Server.pages.byName[name]
	if !ok {
		return fmt.Errorf("there is no template %s", name)
	}
	if err := t.ExecuteTemplate(&b, "layout.html", p); err != nil {
		return err
	}
	v.Data(status, "text/html; charset=utf-8", b.Bytes())
	return nil
}

// Flash is shown once, at the top of the next page.
func (v *Visit) Flash(format string, args ...any) {
	v.Server.sessions.Put(v.Request.Context(), sessionFlash, fmt.Sprintf(format, args...))
}

// nav lists the pages of the table that the caller may see.
func (s *Server) nav(v *Visit) []navItem {
	var items []navItem
	for i := range s.routes {
		if r := &s.routes[i]; r.Nav != "" && r.inNav(v.Caller.Role) {
			item := navItem{Path: r.Path, Label: r.Nav, Here: r.Path == v.Route.Path || strings.HasPrefix(v.Route.Path, r.Path+"/")}
			if r.Path == deskPath {
				item.Count = s.waiting(v)
			}
			items = append(items, item)
		}
	}
	return items
}

// inNav reports whether a role has the route in its navigation.
func (r *Route) inNav(role models.Role) bool {
	if r.NavFor != nil {
		return r.NavFor.allow(role)
	}
	return r.Who.allow(role)
}

// home sends everybody to the first page they have.
func (s *Server) home(v *Visit) error {
	for i := range s.routes {
		if r := &s.routes[i]; r.Nav != "" && v.Caller.Role != nobody && r.inNav(v.Caller.Role) {
			return v.Redirect(r.Path)
		}
	}
	return v.Redirect("/sign-in")
}

// fault is the page of an error.
func (p *pages) fault(w io.Writer, f problem) error {
	return p.byName["fault.html"].ExecuteTemplate(w, "layout.html", page{Title: f.Title, Data: f})
}

// static answers with a file of the pages. With its hash in the address it may
// be kept for good.
func (s *Server) static(v *Visit) error {
	name := strings.TrimPrefix(v.Param("file"), "/")
	hash, ok := s.pages.hashes[name]
	if !ok {
		return errNoPage
	}
	text, err := staticFiles.ReadFile("static/" + name)
	if err != nil {
		return err
	}
	v.Header("Cache-Control", "public, max-age=300")
	if v.Query("v") == hash {
		v.Header("Cache-Control", "public, max-age=31536000, immutable")
	}
	v.Header("ETag", `"`+hash+`"`)
	if v.GetHeader("If-None-Match") == `"`+hash+`"` {
		v.Status(http.StatusNotModified)
		return nil
	}
	v.Data(http.StatusOK, mime.TypeByExtension(path.Ext(name)), text)
	return nil
}

// health says that the server and its database answer.
func (s *Server) health(v *Visit) error {
	v.Header("Content-Type", "text/plain; charset=utf-8")
	if err := s.store.Ping(v.Request.Context()); err != nil {
		return &refusal{status: http.StatusServiceUnavailable, detail: "the database does not answer", wait: 5}
	}
	v.String(http.StatusOK, "well\n")
	return nil
}

// readable refuses text that could not be kept as it is.
func readable(s string) error {
	if !utf8.ValidString(s) {
		return models.Errorf(models.Invalid, "the text is not UTF-8: type it again")
	}
	if strings.ContainsRune(s, 0) {
		return models.Errorf(models.Invalid, "the text holds a NUL character: type it again")
	}
	return nil
}

func queryEscape(s string) string { return url.QueryEscape(s) }

// formFault shows a form again with what was wrong, where a person can mend it;
// anything else is passed on.
func formFault(err error) (string, error) {
	var r *refusal
	if errors.As(err, &r) {
		return r.detail, nil
	}
	if models.KindOf(err) == "" {
		return "", err
	}
	return err.Error(), nil
}
