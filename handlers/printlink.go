package handlers

import (
	"net/url"
	"slices"

	"hulltally/labels"
)

// toPrint leads to the print page with one thing chosen; it is empty for a
// caller who does not print that kind of card. pairs are names and values.
func (v *Visit) toPrint(kind labels.SheetKind, pairs ...string) string {
	if !slices.Contains(printsFor[v.Caller.Role], kind) {
		return ""
	}
	q := url.Values{"kind": {string(kind)}}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	return "/print?" + q.Encode()
}

// printJob leads to the card of the job that postings are picked by, if any.
func (g *ground) printJob(job string) string {
	if job == "" {
		return ""
	}
	return g.visit.toPrint(labels.SheetJobs, "key", job)
}
