package material

import (
	"cmp"
	"maps"
	"math/big"
	"slices"

	"hulltally/costing"
)

// How many hulls a suggestion looks back on, and how many it needs at least.
const (
	LastHulls = 5
	FewHulls  = 3
)

// Basis says what a suggested factor is reckoned from.
type Basis string

// The bases: the waste that is known, or all that was drawn, which holds waste
// that nobody weighed and errors of take-off as well.
const (
	OfWaste Basis = "waste"
	OfDrawn Basis = "drawn"
)

// Seen is the factor of one hull's finished work.
type Seen struct {
	Hull      string
	Net, Lost costing.Quantity
	Factor    *big.Rat
}

// Factor is what the last hulls suggest as a waste factor for the next
// estimate of an item in a stage.
type Factor struct {
	Stage, Item string
	Basis       Basis
	Hulls       []Seen   // the last signed first
	Mean        *big.Rat // weighted by net
	Median      *big.Rat
	Low, High   *big.Rat
	Allowed     *big.Rat // what the estimates of those hulls allowed
	Enough      bool     // at least FewHulls carry it
}

type factorKey struct {
	item, stage string
	basis       Basis
}

type tally struct{ net, lost, allowed, planned *big.Rat }

// Factors looks at finished work of the build and of changes: jobs stated done
// that drew what their estimate names. (Decision: the last five hulls by the
// day they were signed; a job that drew nothing says nothing, since its
// material may have been drawn before the books began.)
func (b *Books) Factors() []Factor {
	seen := map[factorKey]map[string]*tally{}
	add := func(u *Use, basis Basis, net, lost costing.Quantity) {
		k := factorKey{u.Item, u.Stage, basis}
		if seen[k] == nil {
			seen[k] = map[string]*tally{}
		}
		t := seen[k][u.Hull]
		if t == nil {
			t = &tally{new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)}
			seen[k][u.Hull] = t
		}
		t.net.Add(t.net, rat(net))
		t.lost.Add(t.lost, rat(lost))
		t.planned.Add(t.planned, rat(u.Estimate))
		t.allowed.Add(t.allowed, u.allowedWaste)
	}
	for i := range b.Jobs {
		u := &b.Jobs[i]
		if u.Done < 100 || !u.Planned || u.Drawn <= 0 || u.Estimate <= 0 || u.Purpose.Apart() || b.yard.Hulls[u.Hull] == nil {
			continue
		}
		if u.wasteKnown() && u.Net > 0 {
			add(u, OfWaste, u.Net, u.Waste)
		}
		add(u, OfDrawn, u.Estimate, u.Drawn-u.Estimate)
	}
	list := make([]Factor, 0, len(seen))
	for k, hulls := range seen {
		list = append(list, b.factor(k, hulls))
	}
	slices.SortFunc(list, func(x, y Factor) int {
		return cmp.Or(cmp.Compare(x.Item, y.Item), cmp.Compare(b.order(x.Stage), b.order(y.Stage)), cmp.Compare(x.Stage, y.Stage), -cmp.Compare(x.Basis, y.Basis))
	})
	return list
}

func (b *Books) order(stage string) int {
	if s := b.yard.Stages[stage]; s != nil {
		return s.Order
	}
	return 0
}

func (b *Books) factor(k factorKey, hulls map[string]*tally) Factor {
	last := slices.SortedFunc(maps.Keys(hulls), func(x, y string) int {
		return cmp.Or(-cmp.Compare(b.yard.Hulls[x].Signed, b.yard.Hulls[y].Signed), cmp.Compare(x, y))
	})
	last = last[:min(LastHulls, len(last))]
	f := Factor{Stage: k.stage, Item: k.item, Basis: k.basis, Enough: len(last) >= FewHulls}
	sum := tally{new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)}
	var all []*big.Rat
	for _, hull := range last {
		t := hulls[hull]
		sum.net.Add(sum.net, t.net)
		sum.lost.Add(sum.lost, t.lost)
		sum.allowed.Add(sum.allowed, t.allowed)
		sum.planned.Add(sum.planned, t.planned)
		s := Seen{hull, whole(t.net), whole(t.lost), new(big.Rat).Quo(t.lost, t.net)}
		f.Hulls = append(f.Hulls, s)
		all = append(all, s.Factor)
	}
	slices.SortFunc(all, func(x, y *big.Rat) int { return x.Cmp(y) })
	f.Mean = new(big.Rat).Quo(sum.lost, sum.net)
	f.Allowed = new(big.Rat).Quo(sum.allowed, sum.planned)
	f.Low, f.High, f.Median = all[0], all[len(all)-1], all[len(all)/2]
	if n := len(all); n%2 == 0 {
		f.Median = new(big.Rat).Add(all[n/2-1], all[n/2])
		f.Median.Mul(f.Median, big.NewRat(1, 2))
	}
	return f
}

// whole is a sum of whole quantities.
func whole(r *big.Rat) costing.Quantity { return costing.Quantity(r.Num().Int64()) }
