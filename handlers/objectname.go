package handlers

import (
	"net/url"

	"hulltally/costing"
)

// boat is a hull, or a tool as one: what cost is gathered under. It is nil
// where there is neither.
func (g *ground) boat(key string) *costing.Hull {
	if h := g.yard.Hulls[key]; h != nil {
		return h
	}
	if t := g.yard.Tools[key]; t != nil {
		return &costing.Hull{Key: t.Key, Name: t.Name}
	}
	return nil
}

// toBoat is the page of a hull, or where a tool is shown.
func (g *ground) toBoat(key string) string {
	if g.yard.Hulls[key] == nil && g.yard.Tools[key] != nil {
		return g.link("/tooling") + "#tool-" + url.PathEscape(key)
	}
	return g.toHull(key)
}
