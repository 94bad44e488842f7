package costing

import (
	"cmp"
	"math/big"
	"slices"
)

// MassRow is the mass built into a stage of a hull, in millionths of a
// kilogram. It is a bookkeeping check, never a structural acceptance.
type MassRow struct {
	HullStage
	Kg       Quantity
	Budget   Quantity
	Budgeted bool
	// Fibre and Matrix (resin and hardener) are the masses the fibre mass
	// fraction is made of.
	Fibre, Matrix Quantity
}

// FibreFraction is fibre / (fibre + matrix) by mass, or nil unless both are there.
func (r *MassRow) FibreFraction() *big.Rat {
	if r.Fibre <= 0 || r.Matrix <= 0 {
		return nil
	}
	return big.NewRat(int64(r.Fibre), int64(r.Fibre+r.Matrix))
}

// Mass works out what stays aboard: net issued × kilograms per stock unit ×
// the share that stays. Net of measured items is what was drawn less the waste
// weighed; of factored ones it is what was read.
func Mass(y *Yard, t *Totals) ([]MassRow, error) {
	rows := map[HullStage]*MassRow{}
	get := func(k HullStage) *MassRow {
		if rows[k] == nil {
			rows[k] = &MassRow{HullStage: k}
		}
		return rows[k]
	}
	for k, kg := range y.Budget {
		r := get(k)
		r.Budget, r.Budgeted = kg, true
	}
	type itemKey struct {
		HullStage
		item string
	}
	net := map[itemKey]Quantity{}
	for fine, s := range t.Fine {
		job, item := y.Jobs[fine.Job], y.Items[fine.Detail]
		if fine.Element != Material || job == nil || item == nil || y.Tools[fine.Hull] != nil {
			continue
		}
		q := s.Net
		if item.WasteMode != Factored {
			q -= s.Waste
		}
		net[itemKey{HullStage{fine.Hull, job.Stage}, fine.Detail}] += q
	}
	// Exact until a row is whole: nothing is rounded on the way.
	type sums struct{ kg, fibre, matrix *big.Rat }
	exact := map[HullStage]*sums{}
	for k, q := range net {
		item := y.Items[k.item]
		kg := new(big.Rat).SetFrac64(int64(q), Million*Million)
		kg.Mul(kg, new(big.Rat).SetInt64(int64(item.KgPerUnit)))
		kg.Mul(kg, new(big.Rat).SetInt64(int64(item.AboardShare)))
		s := exact[k.HullStage]
		if s == nil {
			s = &sums{new(big.Rat), new(big.Rat), new(big.Rat)}
			exact[k.HullStage] = s
		}
		s.kg.Add(s.kg, kg)
		switch item.Role {
		case Fibre:
			s.fibre.Add(s.fibre, kg)
		case Resin, Hardener:
			s.matrix.Add(s.matrix, kg)
		}
	}
	for k, s := range exact {
		r := get(k)
		for to, sum := range map[*Quantity]*big.Rat{&r.Kg: s.kg, &r.Fibre: s.fibre, &r.Matrix: s.matrix} {
			kg, err := RoundRat(sum)
			if err != nil {
				return nil, err
			}
			*to = Quantity(kg)
		}
	}
	list := make([]MassRow, 0, len(rows))
	for _, r := range rows {
		list = append(list, *r)
	}
	slices.SortFunc(list, func(a, b MassRow) int {
		return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage))
	})
	return list, nil
}
