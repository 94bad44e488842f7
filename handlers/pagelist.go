package handlers

import (
	"net/http"
	"slices"
	"strings"

	"hulltally/models"
)

// PageRoute is a page of the table of routes: its path, and the roles that may
// open it; the empty role is nobody.
type PageRoute struct {
	Path string
	Who  []models.Role
}

// Pages lists what a browser can open, for checks that go over all of it.
func Pages() []PageRoute {
	var list []PageRoute
	for _, r := range routeTable() {
		if r.Method == http.MethodGet && r.Path != "/healthz" && !strings.HasPrefix(r.Path, "/api/") &&
			!strings.HasPrefix(r.Path, "/static/") && !strings.HasPrefix(r.Path, "/lang/") {
			list = append(list, PageRoute{r.Path, slices.Clone(r.Who)})
		}
	}
	return list
}
