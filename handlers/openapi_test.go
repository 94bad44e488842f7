package handlers

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"hulltally/models"
)

// document reads the description as anybody gets it.
func (y *yard) document() object {
	y.t.Helper()
	var doc object
	w := y.browser().get("/api/openapi.json")
	if err := json.Unmarshal(w.Body.Bytes(), &doc); err != nil {
		y.t.Fatal(err)
	}
	return doc
}

// The description has every route of the API, every reference leads somewhere,
// and every schema is one the checker below knows.
func TestOpenAPI(t *testing.T) {
	y := newYard(t)
	doc := y.document()
	if doc["openapi"] != "3.1.0" {
		t.Errorf("it is of version %v", doc["openapi"])
	}
	paths := doc["paths"].(object)
	ids, n := map[string]bool{}, 0
	for _, r := range y.server.engine().Routes() {
		if !strings.HasPrefix(r.Path, "/api/") {
			continue
		}
		n++
		path, _ := paths[openPath(r.Path)].(object)
		op, _ := path[strings.ToLower(r.Method)].(object)
		if op == nil {
			t.Errorf("%s %s is not described", r.Method, r.Path)
			continue
		}
		id, _ := op["operationId"].(string)
		if id == "" || ids[id] || op["summary"] == "" || op["security"] == nil {
			t.Errorf("%s %s is described as %v", r.Method, r.Path, op)
		}
		ids[id] = true
		for _, part := range regexp.MustCompile(`\{(\w+)\}`).FindAllStringSubmatch(openPath(r.Path), -1) {
			parameters, _ := op["parameters"].([]any)
			if !slices.ContainsFunc(parameters, func(p any) bool {
				return p.(object)["name"] == part[1] && p.(object)["in"] == "path" && p.(object)["required"] == true
			}) {
				t.Errorf("%s lacks the parameter %s", r.Path, part[1])
			}
		}
	}
	described := 0
	for _, p := range paths {
		described += len(p.(object))
	}
	if described != n {
		t.Errorf("%d operations are described, %d are there", described, n)
	}
	walkRefs(doc, func(to string) {
		if _, ok := resolve(doc, to); !ok {
			t.Errorf("%s leads nowhere", to)
		}
	})
}

func walkRefs(v any, f func(to string)) {
	switch v := v.(type) {
	case object:
		for k, x := range v {
			if to, ok := x.(string); ok && k == "$ref" {
				f(to)
			}
			walkRefs(x, f)
		}
	case []any:
		for _, x := range v {
			walkRefs(x, f)
		}
	}
}

func resolve(doc object, to string) (object, bool) {
	var at any = doc
	for part := range strings.SplitSeq(strings.TrimPrefix(to, "#/"), "/") {
		m, ok := at.(object)
		if !ok {
			return nil, false
		}
		at = m[part]
	}
	m, ok := at.(object)
	return m, ok
}

// fits says where a value breaks a schema, or nothing.
func (c *checker) fits(schema object, v any, where string) string {
	if to, ok := schema["$ref"].(string); ok {
		schema, _ = resolve(c.doc, to)
	}
	for key, arg := range schema {
		why := ""
		switch key {
		case "type":
			why = ofType(arg, v)
		case "const":
			if arg != v {
				why = fmt.Sprintf("is %v, not %v", v, arg)
			}
		case "enum":
			if !slices.Contains(arg.([]any), v) {
				why = fmt.Sprintf("%v is none of %v", v, arg)
			}
		case "required":
			for _, name := range arg.([]any) {
				if m, ok := v.(object); ok && m[name.(string)] == nil && !has(m, name.(string)) {
					why = fmt.Sprintf("lacks %v", name)
				}
			}
		case "properties":
			m, _ := v.(object)
			for name, s := range arg.(object) {
				if has(m, name) && why == "" {
					if bad := c.fits(s.(object), m[name], where+"."+name); bad != "" {
						return bad
					}
				}
			}
		case "additionalProperties":
			m, _ := v.(object)
			known, _ := schema["properties"].(object)
			for name := range m {
				if arg == false && !has(known, name) {
					why = "has the unknown member " + name
				}
			}
		case "items":
			l, _ := v.([]any)
			for i, x := range l {
				if bad := c.fits(arg.(object), x, fmt.Sprintf("%s[%d]", where, i)); bad != "" {
					return bad
				}
			}
		case "oneOf":
			n := 0
			for _, s := range arg.([]any) {
				bad := c.fits(s.(object), v, where)
				if bad == "" {
					n++
				} else {
					why += " " + bad + ";"
				}
			}
			if n == 1 || n == 2 && emptyList(v) { // an empty list fits lists of anything
				why = ""
			}
		case "minimum", "maximum", "maxItems", "maxLength", "format", "pattern", "description", "examples", "default":
		default:
			why = "the checker doesn't know " + key
		}
		if why != "" {
			return where + " " + why
		}
	}
	return ""
}

func emptyList(v any) bool { l, ok := v.([]any); return ok && len(l) == 0 }

func has(m object, name string) bool { _, ok := m[name]; return ok }

func ofType(want, v any) string {
	types, ok := want.([]any)
	if !ok {
		types = []any{want}
	}
	got := map[bool]string{true: "null"}[v == nil]
	switch v := v.(type) {
	case string:
		got = "string"
	case float64:
		if got = "number"; v == float64(int64(v)) {
			got = "integer"
		}
	case object:
		got = "object"
	case []any:
		got = "array"
	case bool:
		got = "boolean"
	}
	if slices.Contains(types, any(got)) {
		return ""
	}
	return fmt.Sprintf("is of type %s, not %v", got, want)
}

type checker struct{ doc object }

// answer checks an answer against what is described of its route.
func (c *checker) answer(t *testing.T, method, path string, w *httptest.ResponseRecorder) {
	t.Helper()
	p, _ := c.doc["paths"].(object)[path].(object)
	op, _ := p[method].(object)
	responses, _ := op["responses"].(object)
	response, ok := responses[fmt.Sprint(w.Code)].(object)
	if !ok {
		t.Errorf("%s %s: %d is not described: %s", method, path, w.Code, w.Body)
		return
	}
	media, _, _ := strings.Cut(w.Header().Get("Content-Type"), ";")
	content, ok := response["content"].(object)[media].(object)
	if !ok {
		t.Errorf("%s %s: %d as %q is not described", method, path, w.Code, media)
		return
	}
	if media == "text/csv" || media == xlsxType {
		return
	}
	var v any
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	if bad := c.fits(content["schema"].(object), v, "answer"); bad != "" {
		t.Errorf("%s %s %d: %s", method, path, w.Code, bad)
	}
}

// Answers of every operation and status are as described.
func TestAnswersAreAsDescribed(t *testing.T) {
	y := newYard(t)
	c := &checker{y.document()}
	gate, nobody := y.station("GATE"), y.browser()
	for _, body := range []string{readText(1, "X"), "[" + readText(1, "X") + "]", "[]", "{}", "7", "[{}]", strings.Repeat(" ", readsBody+1)} {
		c.answer(t, "post", "/api/reads", gate.json("/api/reads", body))
	}
	c.answer(t, "post", "/api/reads", gate.do("POST", "/api/reads", "text/plain", "x"))
	c.answer(t, "post", "/api/reads", nobody.json("/api/reads", "[]"))
	c.answer(t, "get", "/api/station", gate.get("/api/station"))
	c.answer(t, "get", "/api/station", nobody.get("/api/station"))
	code, err := y.store.NewEnrolCode(t.Context(), "GATE", y.deed())
	if err != nil {
		t.Fatal(err)
	}
	for _, body := range []string{`{"code":"` + code + `"}`, `{"code":"` + code + `"}`, `{}`, `{"x":1}`, `{"code":""}`, `{"code":""}`, `{"code":""}`} {
		c.answer(t, "post", "/api/enrol", nobody.json("/api/enrol", body))
	}
	c.answer(t, "get", "/api/openapi.json", nobody.get("/api/openapi.json"))
	for _, role := range models.PeopleRoles {
		b := y.person("asker "+string(role), role)
		for _, name := range ReportNames {
			c.answer(t, "get", "/api/reports/{name}", b.get("/api/reports/"+name))
			y.wait(1e9)
		}
		c.answer(t, "get", "/api/reports/{name}", b.get("/api/reports/mass?as=csv"))
		c.answer(t, "get", "/api/reports/{name}", b.get("/api/reports/mass?as=xlsx"))
		c.answer(t, "get", "/api/reports/{name}", b.get("/api/reports/mass?hull=none"))
		c.answer(t, "get", "/api/reports/{name}", b.get("/api/reports/mass?at=none"))
	}
}
