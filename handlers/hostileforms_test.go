package handlers

import (
	"archive/zip"
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"hulltally/models"
)

// foundForm is a form that a page holds.
type foundForm struct {
	role   models.Role
	method string
	action string
	upload bool
	fields url.Values // with what the page puts in
	files  []string
}

// sampleOf fills the places of a route: first what is there, then what is not.
var sampleOf = map[string]string{
	":hull": "H1", ":stage": "LAM", ":job": "J1", ":lot": "L1", ":worker": "101", ":week": "2026-W11", ":name": "mass", ":item": "TAPE",
	":entry": "1", ":period": "2026-03", ":station": "GATE", ":date": "2026-03-09",
}

var place = regexp.MustCompile(`[:*][a-z]+`)

func sampled(path string) string {
	return place.ReplaceAllStringFunc(path, func(p string) string {
		if s, ok := sampleOf[p]; ok {
			return s
		}
		return "1"
	})
}

// formsOn takes a page's forms apart.
func formsOn(t *testing.T, role models.Role, page, at string) (forms []*foundForm) {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var form *foundForm
	attr := func(n *html.Node, name string) string {
		for _, a := range n.Attr {
			if a.Key == name {
				return a.Val
			}
		}
		return ""
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		was := form
		if n.Type == html.ElementNode {
			switch n.Data {
			case "form":
				form = &foundForm{role, strings.ToUpper(attr(n, "method")), attr(n, "action"), attr(n, "enctype") == "multipart/form-data", url.Values{}, nil}
				if form.action == "" {
					form.action = at
				}
				forms = append(forms, form)
			case "input", "select", "textarea", "button":
				name := attr(n, "name")
				switch {
				case form == nil || name == "":
				case attr(n, "type") == "file":
					form.files = append(form.files, name)
				case !form.fields.Has(name):
					form.fields.Set(name, attr(n, "value"))
				}
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
		form = was
	}
	walk(doc)
	return forms
}

// findForms visits every page of the table as everybody who may see it.
func findForms(t *testing.T, y *yard) []*foundForm {
	t.Helper()
	var found []*foundForm
	seen := map[string]bool{}
	for _, role := range models.PeopleRoles {
		b := y.person("finder "+string(role), role)
		for _, r := range routeTable() {
			if r.Method != http.MethodGet || r.API != nil || strings.Contains(r.Path, "*") || !r.Who.allow(role) {
				continue
			}
			y.wait(time.Second)
			at := sampled(r.Path)
			w := b.copy().get(at)
			assert.Less(t, w.Code, 500, at)
			for _, f := range formsOn(t, role, w.Body.String(), at) {
				path, _, _ := strings.Cut(f.action, "?")
				if key := f.method + path; !seen[key] {
					seen[key] = true
					found = append(found, f)
				}
			}
		}
	}
	return found
}

// multipartOf is an upload's body, with the type to send it as.
func multipartOf(t *testing.T, f *foundForm, fields url.Values, name string, data []byte) (body, contentType string) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for field, values := range fields {
		require.NoError(t, w.WriteField(field, values[0]))
	}
	for _, file := range f.files {
		part, err := w.CreateFormFile(file, name)
		require.NoError(t, err)
		_, err = part.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.String(), w.FormDataContentType()
}

// bomb is a small zip file that is huge once opened.
func bomb(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range []string{"[Content_Types].xml", "xl/workbook.xml", "xl/worksheets/sheet1.xml", "../../etc/passwd"} {
		w, err := z.Create(name)
		require.NoError(t, err)
		chunk := bytes.Repeat([]byte("<row>"), 1<<18)
		for range 40 {
			_, err := w.Write(chunk)
			require.NoError(t, err)
		}
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

// Every form there is, found on the pages themselves, so that a new page is
// tried without a word here: whatever is typed, the answer is no fault of ours,
// holds no markup of theirs, and what was kept is sound.
func TestHostileForms(t *testing.T) {
	y := newYard(t)
	forms := findForms(t, y)
	require.Greater(t, len(forms), 10, "forms found")
	texts := hostile(200)
	step := 1
	if testing.Short() {
		step = 10 // each form still meets twenty, and every text some forms
	}
	routes := routeTable()
	posted := map[string]bool{}
	for i, f := range forms {
		path, _, _ := strings.Cut(f.action, "?")
		at := slices.IndexFunc(routes, func(r Route) bool {
			return r.Method == f.method && (r.Path == path || fitsRoute(r.Path, path))
		})
		if f.method != http.MethodPost {
			at = slices.IndexFunc(routes, func(r Route) bool { return r.Method == http.MethodGet && (r.Path == path || fitsRoute(r.Path, path)) })
		}
		if !assert.GreaterOrEqual(t, at, 0, "the form's %s %s is in no route", f.method, path) {
			continue
		}
		posted[routes[at].Path] = true
		if routes[at].Rate == rateSignIn || path == "/sign-out" {
			continue // TestHostileInputs has these
		}
		b := y.person("hostile "+string(rune('a'+i/26))+string(rune('a'+i%26)), f.role)
		for k := i % step; k < len(texts); k += step {
			y.wait(time.Second)
			fields := url.Values{}
			for name, value := range f.fields {
				fields.Set(name, texts[k])
				if (k/step)%2 == 0 && value[0] != "" { // deeper in: what the page chose stays
					fields.Set(name, value[0])
				}
			}
			w := b.send(t, f, fields, texts[k])
			assert.Less(t, w.code, 500, "%s %s with %.80q: %.200s", f.method, path, texts[k], w.body)
			for _, bad := range []string{"<script>alert", "<img src=x", "onerror=alert(1)>"} {
				assert.NotContains(t, w.body, bad, "%s with %.80q", path, texts[k])
			}
			if strings.HasPrefix(w.kind, "text/html") {
				assert.True(t, utf8.ValidString(w.body), "%s with %.80q", path, texts[k])
			}
		}
		if f.method == http.MethodPost {
			y.wait(time.Second)
			fields := url.Values{}
			for name := range f.fields {
				fields.Set(name, "x")
			}
			for name := range f.fields {
				fields.Set(name, strings.Repeat("n", 10<<20)) // one name of 10 MB
				break
			}
			if len(fields) > 0 && !f.upload {
				w := b.send(t, f, fields, "")
				assert.True(t, w.code >= 400 && w.code < 500, "%s took 10 MB: %d", path, w.code)
			}
		}
		if f.upload {
			for name, data := range map[string][]byte{
				"bomb.xlsx": bomb(t), "..\\..\\a.csv": []byte("a,b\n=1+1,\x00\n"), "deep.csv": []byte(strings.Repeat(",", 1<<20)),
				"empty.xlsx": nil, "broken.xlsx": []byte("PK\x03\x04junk"), "long.csv": []byte("name\n\"" + strings.Repeat("x", 1<<20)),
			} {
				y.wait(time.Second)
				body, kind := multipartOf(t, f, f.fields, name, data)
				w := b.do(http.MethodPost, f.action, kind, body)
				assert.Less(t, w.Code, 500, "%s with %s: %.200s", path, name, w.Body)
			}
		}
	}
	// Routes that no page led to are tried with every field there is.
	all := url.Values{}
	for _, f := range forms {
		for name := range f.fields {
			all.Set(name, "x")
		}
	}
	for _, r := range routes {
		if r.Method != http.MethodPost || posted[r.Path] || r.API != nil || r.Rate == rateSignIn || len(r.Who) == 0 {
			continue
		}
		role := r.Who[len(r.Who)-1]
		b := y.person("blind "+string(role)+strings.ReplaceAll(r.Path, "/", " "), role)
		for k := 0; k < len(texts); k += 10 {
			y.wait(time.Second)
			for name := range all {
				all.Set(name, texts[k])
			}
			w := b.do(http.MethodPost, sampled(r.Path), "application/x-www-form-urlencoded", all.Encode())
			assert.Less(t, w.Code, 500, "%s with %.80q: %.200s", r.Path, texts[k], w.Body)
		}
	}
	_, err := y.store.VerifyLogbook(t.Context(), models.Seal{})
	require.NoError(t, err)
	differences, err := y.store.Check(t.Context(), nil)
	require.NoError(t, err)
	assert.Empty(t, differences)
}

// sent is an answer to a form.
type sent struct {
	code       int
	kind, body string
}

// send fills a form in and sends it, as a browser would.
func (b *browser) send(t *testing.T, f *foundForm, fields url.Values, name string) sent {
	t.Helper()
	path, _, _ := strings.Cut(f.action, "?")
	if f.method != http.MethodPost {
		target := path + "?" + fields.Encode()
		if len(target) > 30_000 {
			return sent{code: 414}
		}
		w := b.copy().get(target)
		return sent{w.Code, w.Header().Get("Content-Type"), w.Body.String()}
	}
	kind, body := "application/x-www-form-urlencoded", fields.Encode()
	if f.upload {
		body, kind = multipartOf(t, f, fields, strings.ToValidUTF8(name, ""), []byte(name))
	}
	w := b.do(http.MethodPost, f.action, kind, body)
	return sent{w.Code, w.Header().Get("Content-Type"), w.Body.String()}
}

// fitsRoute reports whether a path is one of a route with parameters.
func fitsRoute(route, path string) bool {
	r, p := strings.Split(route, "/"), strings.Split(path, "/")
	return len(r) == len(p) && !slices.ContainsFunc(r, func(part string) bool {
		i := slices.Index(r, part)
		return !strings.HasPrefix(part, ":") && part != p[i]
	})
}
