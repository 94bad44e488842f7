package material

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
)

// MixTolerance is how far the hardener may be off the stated ratio, as a share
// of it, before a question is raised. Common practice, no source: the resin
// maker's data sheet decides.
const MixTolerance costing.Share = 50_000

// Mix is the resin of a job of a hull with its hardener, both in kilograms as
// they left the stock. A pot split over two jobs is two mixes; what is left in
// it, and in the catch-pot, is mixed too, and so within both.
type Mix struct {
	Hull, Stage, Job, Hardener string
	Purpose                    costing.Purpose
	Resins                     []string
	ResinKg, HardenerKg        costing.Quantity
	// Parts of hardener per 100 of resin by weight: stated (by what each resin
	// takes, where several share a hardener) and achieved; nil without resin.
	Stated, Achieved *big.Rat
	// Off is how far the achieved ratio is off the stated, as a share of it.
	Off *big.Rat
	// Asks is whether the mix raises a question.
	Asks bool
}

// mixes pairs resins and hardeners within each job of a hull.
func mixes(y *costing.Yard, jobs []Use) ([]Mix, error) {
	type key struct{ hull, job, hardener string }
	of := map[key]*Mix{}
	needs := map[key]*big.Rat{} // hardener that the resin takes, in millionths of a kilogram × 100
	get := func(u *Use, hardener string) (*Mix, key) {
		k := key{u.Hull, u.Job, hardener}
		if of[k] == nil {
			of[k] = &Mix{Hull: u.Hull, Stage: u.Stage, Job: u.Job, Purpose: u.Purpose, Hardener: hardener}
			needs[k] = new(big.Rat)
		}
		return of[k], k
	}
	hardeners := map[string]bool{}
	for _, it := range y.Items {
		if it.HardenerItem != "" {
			hardeners[it.HardenerItem] = true
		}
	}
	for i := range jobs {
		u := &jobs[i]
		it := y.Items[u.Item]
		if it == nil || u.Drawn == 0 {
			continue
		}
		kg, weighs, err := Kilograms(it, u.Drawn)
		if err != nil {
			return nil, err
		}
		switch {
		case !weighs:
		case it.HardenerItem != "":
			m, k := get(u, it.HardenerItem)
			m.Resins = append(m.Resins, it.Key)
			m.ResinKg += kg
			needs[k].Add(needs[k], new(big.Rat).Mul(rat(kg), big.NewRat(it.HardenerParts, costing.Million)))
		case hardeners[it.Key]:
			m, _ := get(u, it.Key)
			m.HardenerKg += kg
		}
	}
	list := make([]Mix, 0, len(of))
	for k, m := range of {
		m.settle(needs[k])
		list = append(list, *m)
	}
	slices.SortFunc(list, func(a, b Mix) int {
		return cmp.Or(cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Hardener, b.Hardener))
	})
	return list, nil
}

func (m *Mix) settle(needs *big.Rat) {
	if m.ResinKg <= 0 {
		m.Asks = true
		return
	}
	resin := rat(m.ResinKg)
	m.Stated = new(big.Rat).Quo(needs, resin)
	m.Achieved = new(big.Rat).Quo(new(big.Rat).Mul(rat(m.HardenerKg), big.NewRat(100, 1)), resin)
	if m.Stated.Sign() > 0 {
		m.Off = new(big.Rat).Quo(m.Achieved, m.Stated)
		m.Off.Sub(m.Off, one)
		m.Asks = new(big.Rat).Abs(m.Off).Cmp(big.NewRat(int64(MixTolerance), costing.Million)) > 0
	}
}

// Kilograms is a quantity of an item by weight, where its data tell: stocked
// by weight, by volume with a density, or with a weight per unit.
func Kilograms(it *costing.Item, q costing.Quantity) (kg costing.Quantity, ok bool, err error) {
	factor := it.KgPerUnit
	switch {
	case it.StockUnit == costing.Kilogram:
		return q, true, nil
	case it.StockUnit == costing.Litre && it.Density > 0:
		factor = it.Density
	}
	if factor <= 0 {
		return 0, false, nil
	}
	v, err := costing.MulRound(int64(q), factor, costing.Million)
	return costing.Quantity(v), true, err
}
