package handlers

import (
	"net/url"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/revise"
	"hulltally/costing/variance"
	"hulltally/costing/whatif"
	"hulltally/models"
)

// inBooks is what a page calls a hull's estimate as it stands in the books.
const inBooks = "books"

// entering are the options of rows that a visitor enters.
func (s *Server) entering(v *Visit, did, subject, why string) models.LoadOptions {
	d := s.deed(v)
	return models.LoadOptions{Now: d.At, Who: d.Who, Source: d.Source, Did: did, Subject: subject, Why: why}
}

// sendBack ends a form that was refused for what a person can mend: it says so
// at the top of the page it came from.
func (s *Server) sendBack(v *Visit, err error, to string) error {
	said, fault := formFault(err)
	if fault != nil {
		return fault
	}
	v.Flash("Nothing was changed: %s", said)
	return v.Redirect(to)
}

// revisionOf reads a state of a hull's estimate: a number, or the books. Empty
// is the newest revision of a hull that isn't in the books yet, else the books.
func (g *ground) revisionOf(hull, which string) (*revise.Revision, string, error) {
	if which == "" && g.yard.Hulls[hull] == nil {
		rows, err := g.tx.Revisions(g.ctx, hull)
		if err != nil {
			return nil, "", err
		}
		if len(rows) == 0 {
			return nil, "", models.Errorf(models.NotFound, "there is neither a hull nor an estimate %.40q", hull)
		}
		which = strconv.Itoa(rows[len(rows)-1].Revision)
	}
	if which == "" || which == inBooks {
		if g.yard.Hulls[hull] == nil {
			return nil, "", models.Errorf(models.NotFound, "hull %.40q is not in the books: look at one of its revisions", hull)
		}
		r := revise.Of(g.yard, hull, g.figures.Day, false)
		r.Basis = "the estimate in the books, without change orders"
		return r, inBooks, nil
	}
	n, err := strconv.Atoi(which)
	if err != nil {
		return nil, "", models.Errorf(models.Invalid, "revision: %.20q is neither a number nor books", which)
	}
	r, _, err := g.tx.Revision(g.ctx, hull, n)
	return r, which, err
}

// which names a state of an estimate in words.
func which(state string) string {
	if state == inBooks {
		return "in the books"
	}
	return "revision " + state
}

// parseState reads H7/2 or H7/books; without a slash it is of the hull itself.
func parseState(text, hull string) (string, string) {
	if h, state, ok := strings.Cut(text, "/"); ok {
		return h, state
	}
	return hull, text
}

// whatIfBooks are what a what-if is reckoned from: of a hull in the books its
// own figures, of a revision a yard in which nothing is done yet.
func (g *ground) whatIfBooks(r *revise.Revision, state string) (*whatif.Books, error) {
	if state == inBooks {
		c, err := g.figures.Cost()
		if err != nil {
			return nil, err
		}
		return &whatif.Books{Yard: g.yard, Day: g.figures.Day, Stated: c.Stated, Totals: c.Totals, Plan: c.Plan, Rows: c.Rows, Cells: c.Cells}, nil
	}
	b := &whatif.Books{Yard: r.Yard(g.yard), Day: r.Day, Totals: costing.NewTotals()}
	b.Plan = estimate.Build(b.Yard, b.Day)
	var err error
	if b.Rows, err = variance.Rows(b.Yard, b.Plan, nil, b.Totals); err != nil {
		return nil, err
	}
	b.Cells, err = forecast.Cells(b.Plan, nil, b.Rows)
	return b, err
}

// onGround reads the books for a form, as a page would.
func (s *Server) onGround(v *Visit, read func(*ground) error) error {
	g := &ground{ctx: v.Request.Context(), visit: v, query: url.Values{}}
	return s.store.Read(g.ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(g.ctx)
		if err != nil {
			return err
		}
		if g.figures, err = tx.Figures(g.ctx, costing.InstantOf(s.now())); err != nil {
			return err
		}
		g.tx, g.yard, g.currency = tx, snap.Yard, snap.Yard.Currency
		return read(g)
	})
}
