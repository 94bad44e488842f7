package models

import (
	"cmp"
	"slices"
)

// Cards lists the codes in force of a kind, by key.
func (s *Snapshot) Cards(kind string) []CodeRow {
	var list []CodeRow
	for _, c := range s.codes {
		if c.Kind == kind && c.RevokedMs == nil {
			list = append(list, c)
		}
	}
	slices.SortFunc(list, func(a, b CodeRow) int { return cmp.Compare(a.Key, b.Key) })
	return list
}
