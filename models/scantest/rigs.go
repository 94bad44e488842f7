package scantest

import (
	"context"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/recost"
	"hulltally/costing/stock"
	"hulltally/models"
)

// Rig is one way of playing a script. The yard is loaded in a store already.
type Rig interface {
	// Send records reads.
	Send(ctx context.Context, reads []models.ReadRow) error
	// Outcomes says what became of each read, by id.
	Outcomes(ctx context.Context) (map[string]Outcome, error)
	// View shows the books as of an instant.
	View(ctx context.Context, at costing.Instant) (*View, error)
}

// received is when reads come in: later than any script's, so that none is
// ahead of the clock.
const received = costing.Instant(1_900_000_000_000)

// storeRig plays on a database; send takes the reads to it.
type storeRig struct {
	store *models.Store
	send  func(ctx context.Context, reads []models.ReadRow) error
}

// OnStore plays all reads in one transaction.
func OnStore(s *models.Store) Rig {
	return storeRig{s, func(ctx context.Context, reads []models.ReadRow) error {
		_, err := s.Scan(ctx, reads, received, nil)
		return err
	}}
}

// Backwards plays the reads one by one, the last first.
func Backwards(s *models.Store) Rig {
	return storeRig{s, func(ctx context.Context, reads []models.ReadRow) error {
		for _, r := range slices.Backward(reads) {
			if _, err := s.Scan(ctx, []models.ReadRow{r}, received, nil); err != nil {
				return err
			}
		}
		return nil
	}}
}

// Through plays reads by way of something that records them in a store.
func Through(s *models.Store, send func(ctx context.Context, reads []models.ReadRow) error) Rig {
	return storeRig{s, send}
}

func (r storeRig) Send(ctx context.Context, reads []models.ReadRow) error { return r.send(ctx, reads) }

func (r storeRig) Outcomes(ctx context.Context) (map[string]Outcome, error) {
	found := map[string]Outcome{}
	err := r.store.Read(ctx, func(tx *models.Tx) error {
		rows, err := tx.DB.Raw("SELECT id, outcome, code FROM reads").Rows()
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id string
			var o Outcome
			if err := rows.Scan(&id, &o.Outcome, &o.Code); err != nil {
				return err
			}
			found[id] = o
		}
		return rows.Err()
	})
	return found, err
}

func (r storeRig) View(ctx context.Context, at costing.Instant) (v *View, err error) {
	differences, err := r.store.Check(ctx, nil)
	if err != nil {
		return nil, err
	}
	if len(differences) > 0 {
		return nil, fmt.Errorf("the check found %v", differences[0])
	}
	err = r.store.Read(ctx, func(tx *models.Tx) error {
		f, err := tx.Figures(ctx, at)
		if err != nil {
			return err
		}
		v = &View{Totals: f.Totals, Stated: f.Stated, Books: f.Books, Worth: f.Worth}
		if v.Noted, err = tx.Noted(ctx, at); err != nil {
			return err
		}
		return tx.Pieces(f, 0, costing.Date(60_000), func(p *clock.Piece) error {
			v.Pieces = append(v.Pieces, *p)
			return nil
		})
	})
	return v, err
}

// coreRig plays on the engine alone: the store only gives the yard.
type coreRig struct {
	snap     *models.Snapshot
	outcomes map[string]Outcome
	entries  map[string]*clock.Entry
}

// Core takes the yard from a store and computes without it.
func Core(ctx context.Context, s *models.Store) (Rig, error) {
	r := &coreRig{outcomes: map[string]Outcome{}, entries: map[string]*clock.Entry{}}
	err := s.Read(ctx, func(tx *models.Tx) (err error) {
		r.snap, err = tx.Snapshot(ctx)
		return err
	})
	return r, err
}

func (r *coreRig) Send(_ context.Context, reads []models.ReadRow) error {
	byStation := map[string][]*clock.Read{}
	for _, row := range reads {
		heard := r.snap.Resolve(row.Payload, row.At)
		byStation[row.Station] = append(byStation[row.Station], &clock.Read{
			ID: row.ID, Station: row.Station, N: row.N, At: row.At, Payload: heard.Payload, Token: heard.Token,
		})
	}
	for _, list := range byStation {
		slices.SortFunc(list, clock.CompareReads)
		var c clock.Context
		for _, read := range list {
			res := c.Hear(r.snap.Yard, read)
			r.outcomes[read.ID] = Outcome{string(res.Outcome), res.Code}
			if res.Entry != nil {
				r.entries[read.ID] = res.Entry
			}
			if e := r.entries[res.Voids]; e != nil {
				e.VoidedBy, e.VoidedAt = read.ID, read.At
			}
		}
	}
	return nil
}

func (r *coreRig) Outcomes(context.Context) (map[string]Outcome, error) { return r.outcomes, nil }

func (r *coreRig) View(_ context.Context, at costing.Instant) (*View, error) {
	facts := recost.Facts{Yard: r.snap.Yard, AsOf: at}
	for _, e := range r.entries {
		facts.Entries = append(facts.Entries, e)
	}
	for _, list := range r.snap.Corrections {
		facts.Corrections = append(facts.Corrections, list...)
	}
	books, err := recost.Everything(facts, nil)
	if err != nil {
		return nil, err
	}
	c := stock.Costing{Yard: r.snap.Yard, AsOf: at}
	for _, b := range books.Stock {
		c.Note(b)
	}
	v := &View{Totals: books.Totals, Pieces: books.Pieces, Stated: books.Progress, Books: books.Stock}
	v.Worth = func(u stock.Unit) costing.Money { return c.Worth(u, books.Stock[u]) }
	for _, e := range r.entries {
		stands := e.VoidedBy == "" || e.VoidedAt > at
		if e.At <= at && stands && (e.Kind == clock.Checked || e.Kind == clock.Reported) {
			v.Noted = append(v.Noted, e)
		}
	}
	return v, nil
}
