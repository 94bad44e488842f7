package month

import (
	"math/big"

	"hulltally/costing"
)

// Overheads is a month's, or a year's, overhead.
type Overheads struct {
	Actual   costing.Money // what it cost
	Absorbed costing.Money // what hulls were charged for it, at the rates by hours worked
	Allowed  costing.Money // what they would have been charged for the hours allowed
	Hours    int64         // seconds of direct labour
	// The plan of the same time: what doesn't move with hours, what does, and
	// the seconds it was planned with. Without hours there is none.
	Fixed, Variable costing.Money
	PlannedHours    int64
}

// OverheadVariances is why overhead cost more than was allowed. Adverse is
// positive, and Spending + Efficiency + Volume = Actual − Allowed.
type OverheadVariances struct {
	Under      costing.Money // actual − absorbed: below nought, more was absorbed
	Allowance  costing.Money // the plan for the hours that were worked
	Spending   costing.Money // actual − allowance
	Volume     costing.Money // allowance − absorbed: fixed cost that too few hours bore
	Efficiency costing.Money // absorbed − allowed: charged to hulls for hours beyond the allowed
}

// Variances works them out. Without a plan the allowance is what was absorbed,
// and all of the difference is spending.
func (o Overheads) Variances() (OverheadVariances, error) {
	v := OverheadVariances{Under: o.Actual - o.Absorbed, Allowance: o.Absorbed, Efficiency: o.Absorbed - o.Allowed}
	if o.PlannedHours > 0 {
		moving, err := costing.RoundRat(new(big.Rat).Mul(new(big.Rat).SetInt64(int64(o.Variable)), big.NewRat(o.Hours, o.PlannedHours)))
		if err != nil {
			return v, err
		}
		v.Allowance = o.Fixed + costing.Money(moving)
	}
	v.Spending, v.Volume = o.Actual-v.Allowance, v.Allowance-o.Absorbed
	return v, nil
}

// Suggested is a stage's absorption rate with which the overhead would have
// been absorbed just so: the rate there was, times actual over absorbed.
func (o Overheads) Suggested(rate costing.Price) (costing.Price, error) {
	if o.Absorbed <= 0 || o.Actual < 0 {
		return rate, nil
	}
	v, err := costing.RoundRat(new(big.Rat).Mul(new(big.Rat).SetInt64(int64(rate)), big.NewRat(int64(o.Actual), int64(o.Absorbed))))
	return costing.Price(v), err
}
