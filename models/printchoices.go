package models

import (
	"context"
	"slices"
	"strings"

	"hulltally/labels"
)

// PrintChoice is a thing whose card can be printed.
type PrintChoice struct {
	Key, Name string
	Payload   string
	Revoked   bool // the payload was the last, and is no longer valid
	Printed   int  // how often
}

// PrintChoices lists what of a kind can be chosen to be printed, with those
// that are asked for by key first. A wall sheet is whole, and so is a stage's set.
func (tx *Tx) PrintChoices(ctx context.Context, ask PrintAsk) ([]PrintChoice, error) {
	p, err := tx.newPrinting(ctx, ask)
	if err != nil {
		return nil, err
	}
	y := p.snap.Yard
	var all []PrintChoice
	add := func(kind, key, name string, names ...string) {
		if !p.wanted[key] && !p.shows(key, append(names, name)...) {
			return
		}
		c := PrintChoice{Key: key, Name: name}
		if c.Payload = p.payloads[[2]string{kind, key}]; c.Payload == "" {
			c.Payload, c.Revoked = p.last[[2]string{kind, key}].Payload, true
		}
		c.Printed = p.printed[c.Payload]
		all = append(all, c)
	}
	switch ask.Kind {
	case labels.SheetBadges:
		for _, key := range sorted(y.Workers) {
			add("worker", key, y.Workers[key].Name)
		}
	case labels.SheetCrews:
		for _, key := range sorted(y.Crews) {
			add("crew", key, y.Crews[key].Name)
		}
	case labels.SheetIndirects:
		for _, key := range sorted(y.Indirects) {
			add("indirect", key, y.Indirects[key].Name)
		}
	case labels.SheetLots:
		for _, key := range sorted(y.Lots) {
			lot := y.Lots[key]
			add("lot", key, y.Items[lot.Item].Name, lot.Item, lot.SupplierBatch)
		}
	case labels.SheetWall:
		for _, w := range wallCards {
			add(w.kind, w.key, strings.TrimSpace(w.kind+" "+w.key))
		}
	case labels.SheetJobs:
		for _, key := range sorted(y.Jobs) {
			if job := y.Jobs[key]; p.wanted[key] || p.ofHull(job) && (p.Stage == "" || job.Stage == p.Stage) {
				add("job", key, job.Part)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b PrintChoice) int {
		switch x, y := p.wanted[a.Key], p.wanted[b.Key]; {
		case x && !y:
			return -1
		case y && !x:
			return 1
		}
		return 0
	})
	return all, nil
}

// CodeOf finds a code, revoked ones too, and what its holder is called.
func (tx *Tx) CodeOf(ctx context.Context, payload string) (row CodeRow, holder string, err error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return row, "", err
	}
	row, known := snap.codes[labels.Normalise(payload)]
	if !known {
		return row, "", Errorf(NotFound, "the code %.40q is not one this yard has printed", payload)
	}
	return row, snap.name(row.Kind, row.Key), nil
}
