package handlers

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"hulltally/models"
)

// object is a JSON object of the description.
type object = map[string]any

// operation describes a route of the API.
type operation struct {
	id, summary, about string
	parameters         []object
	request            object // the schema of the body; nil takes none
	examples           object
	answers            map[string]object // schema by media type, of status 200
	refusals           []int             // besides those every route can give
}

// describe writes the OpenAPI 3.1 document of the routes under /api. A route
// that isn't described is a mistake in the table.
func describe(routes []Route) ([]byte, error) {
	paths := map[string]object{}
	for i := range routes {
		r := &routes[i]
		if !strings.HasPrefix(r.Path, "/api/") {
			continue
		}
		if r.API == nil {
			return nil, fmt.Errorf("%s %s has no description", r.Method, r.Path)
		}
		path := openPath(r.Path)
		if paths[path] == nil {
			paths[path] = object{}
		}
		paths[path][strings.ToLower(r.Method)] = r.describe()
	}
	return json.MarshalIndent(object{
		"openapi": "3.1.0",
		"info": object{
			"title": "Hulltally", "version": "1",
			"summary":     "Reads in, costs out.",
			"description": "Amounts and quantities are decimal strings, times are whole seconds, instants are RFC 3339. Errors are problem documents (RFC 9457).",
			"license":     object{"name": "See README.md"},
		},
		"servers": []object{{"url": "/"}},
		"paths":   paths,
		"components": object{
			"schemas": schemas(),
			"securitySchemes": object{
				"stationKey": object{"type": "http", "scheme": "bearer", "description": "The key of a station, from /api/enrol or the key command."},
				"session":    object{"type": "apiKey", "in": "cookie", "name": "hulltally", "description": "The session of somebody who signed in; over TLS its name is __Host-hulltally."},
			},
		},
	}, "", " ")
}

// openPath is a route's path with {name} for :name.
func openPath(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		if name, ok := strings.CutPrefix(p, ":"); ok {
			parts[i] = "{" + name + "}"
		}
	}
	return strings.Join(parts, "/")
}

func (r *Route) describe() object {
	op := r.API
	content := object{}
	for media, schema := range op.answers {
		content[media] = object{"schema": schema}
	}
	responses := object{"200": object{"description": "As asked.", "content": content}}
	for _, status := range append(r.refusals(), op.refusals...) {
		responses[strconv.Itoa(status)] = object{
			"description": http.StatusText(status),
			"content":     object{"application/problem+json": object{"schema": ref("Problem")}},
		}
	}
	out := object{"operationId": op.id, "summary": op.summary, "description": op.about, "responses": responses, "security": r.security()}
	if op.parameters != nil {
		out["parameters"] = op.parameters
	}
	if op.request != nil {
		media := object{"schema": op.request}
		if op.examples != nil {
			media["examples"] = op.examples
		}
		out["requestBody"] = object{"required": true, "content": object{"application/json": media}}
	}
	return out
}

// refusals are the statuses that follow from the route's line in the table.
func (r *Route) refusals() []int {
	list := []int{http.StatusTooManyRequests, http.StatusInternalServerError}
	if !r.Who.allow(nobody) {
		list = append(list, http.StatusUnauthorized, http.StatusForbidden)
	}
	if r.Body > 0 {
		list = append(list, http.StatusRequestEntityTooLarge, http.StatusUnsupportedMediaType)
	}
	return list
}

func (r *Route) security() []object {
	list := []object{}
	if r.Who.allow(nobody) {
		list = append(list, object{})
	}
	if r.Who.allow(models.Station) {
		list = append(list, object{"stationKey": []string{}})
	}
	if slices.ContainsFunc(people, r.Who.allow) {
		list = append(list, object{"session": []string{}})
	}
	return list
}

func ref(name string) object { return object{"$ref": "#/components/schemas/" + name} }

func oneOf(schemas ...object) object { return object{"oneOf": schemas} }

func list(of object) object { return object{"type": "array", "items": of} }

// openAPI gives the description.
func (s *Server) openAPI(v *Visit) error {
	v.Header("Cache-Control", "public, max-age=300")
	v.Data(http.StatusOK, "application/json", s.openapi)
	return nil
}
