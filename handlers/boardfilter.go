package handlers

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/models"
)

// option is one of what a form offers.
type option struct {
	Value, Text string
	Picked      bool
}

// boardFilter says which hulls the board shows.
type boardFilter struct {
	Model, Stage   string
	Models, Stages []option
	Shown, All     int
}

// filter keeps the hulls of a model and those at work in a stage: begun there,
// and not done.
func (g *ground) filter(hulls []*review.Hull) ([]*review.Hull, *boardFilter, error) {
	f := &boardFilter{Model: g.query.Get("model"), Stage: g.query.Get("stage"), All: len(hulls)}
	seen := map[string]bool{}
	for _, h := range g.yard.Hulls {
		seen[h.Model] = true
	}
	if f.Model != "" && !seen[f.Model] {
		return nil, nil, models.Errorf(models.NotFound, "the yard has no hull of a model %.60q", f.Model)
	}
	if f.Stage != "" && g.yard.Stages[f.Stage] == nil {
		return nil, nil, models.Errorf(models.NotFound, "there is no stage %.60q", f.Stage)
	}
	for _, m := range slices.Sorted(maps.Keys(seen)) {
		f.Models = append(f.Models, option{m, m, m == f.Model})
	}
	for _, s := range g.stagesInOrder() {
		f.Stages = append(f.Stages, option{s.Key, g.stageName(s.Key), s.Key == f.Stage})
	}
	var list []*review.Hull
	for _, h := range hulls {
		if (f.Model == "" || h.Hull.Model == f.Model) && (f.Stage == "" || atWork(h, f.Stage)) {
			list = append(list, h)
		}
	}
	f.Shown = len(list)
	return list, f, nil
}

// atWork reports whether a hull's stage is begun and not done.
func atWork(h *review.Hull, stage string) bool {
	for i := range h.Stages {
		if s := &h.Stages[i]; s.Stage.Key == stage {
			return s.Progress.Cmp(big.NewRat(1, 1)) < 0 && (s.Actual != 0 || s.Progress.Sign() > 0)
		}
	}
	return false
}

// stagesInOrder are the yard's stages in the order of the build.
func (g *ground) stagesInOrder() []*costing.Stage {
	return slices.SortedFunc(maps.Values(g.yard.Stages), func(a, b *costing.Stage) int {
		return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Key, b.Key))
	})
}
