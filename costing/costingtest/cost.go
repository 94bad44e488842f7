package costingtest

import (
	"math/big"
	"time"
)

// used is what a row took of an item.
type used struct {
	gross, waste *big.Rat
	cost         int64
}

// costs is what happened to the hulls up to an instant.
type costs struct {
	actual   map[spot]int64
	seconds  map[spot]int64
	standard map[spot]*big.Rat // of the time that was worked
	items    map[thing]*used
}

func (o *Oracle) costs(p *plan, pieces []*piece, s *stores, now time.Time) *costs {
	c := &costs{map[spot]int64{}, map[spot]int64{}, map[spot]*big.Rat{}, map[thing]*used{}}
	for _, piece := range pieces {
		if job, ok := jobOf(piece.target); ok {
			o.charge(c, p, piece, job)
		}
	}
	for _, ch := range s.charges {
		o.chargeItem(c, ch)
	}
	for _, b := range o.files["bought"] {
		if b["date"] <= o.date(now) {
			c.actual[spot{b["hull"], b["stage"], "bought-in", "build"}] += o.minor(mul(num(b["amount"]), fx(b["fx"])))
		}
	}
	return c
}

// charge divides a piece's amounts and seconds over the hulls of its job.
func (o *Oracle) charge(c *costs, p *plan, piece *piece, job string) {
	row := o.find("jobs", "job", job)
	list := o.shares(job)
	parts := func(amount int64) []int64 { return split(amount, weights(list)) }
	base, onCost, overhead, seconds := parts(piece.base), parts(piece.onCost), parts(piece.overhead), parts(piece.seconds)
	premium, premiumOnCost := parts(piece.premium), parts(piece.premiumOnCost)
	grade := o.find("workers", "number", piece.worker)["grade"]
	for i, s := range list {
		labour := spot{s.hull, row["stage"], "labour", row["purpose"]}
		c.actual[labour] += base[i] + onCost[i]
		if row["rush"] == "yes" {
			c.actual[labour] += premium[i] + premiumOnCost[i]
		}
		c.seconds[labour] += seconds[i]
		sum(c.standard, labour, mul(hours(seconds[i]), o.standardRate(p, job, grade, s.hull)))
		c.actual[spot{s.hull, row["stage"], "overhead", row["purpose"]}] += overhead[i]
	}
}

func (o *Oracle) chargeItem(c *costs, ch charge) {
	row := o.find("jobs", "job", ch.job)
	list := o.shares(ch.job)
	gross, waste := splitQuantity(ch.quantity, weights(list)), splitQuantity(ch.waste, weights(list))
	for i, cost := range split(ch.cost, weights(list)) {
		hull := list[i].hull
		k := thing{hull, row["stage"], row["purpose"], ch.item}
		u := c.items[k]
		if u == nil {
			u = &used{gross: new(big.Rat), waste: new(big.Rat)}
			c.items[k] = u
		}
		u.cost += cost
		u.gross, u.waste = add(u.gross, gross[i]), add(u.waste, waste[i])
		c.actual[spot{hull, row["stage"], "material", row["purpose"]}] += cost
	}
}
