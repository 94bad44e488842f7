package costing

import "fmt"

// Land shares a landed cost over a delivery's lots, by the largest remainder:
// by what each cost to buy, or by its mass.
func (y *Yard) Land(d *Delivery, c *LandedCost) error {
	weights := make([]int64, len(d.Lots))
	for i, key := range d.Lots {
		var err error
		if weights[i], err = y.landWeight(y.Lots[key], c.ByMass); err != nil {
			return err
		}
	}
	if len(weights) == 0 || c.Cost == 0 {
		return nil
	}
	shares, err := Apportion(int64(c.Cost), weights)
	if err != nil {
		return fmt.Errorf("%s cannot be shared: %w", c.What, err)
	}
	for i, key := range d.Lots {
		l := y.Lots[key]
		l.Landings = append(l.Landings, Landing{c.At, Money(shares[i])}) // costs come by instant
	}
	return nil
}

func (y *Yard) landWeight(l *Lot, byMass bool) (int64, error) {
	if !byMass {
		return int64(l.Cost - l.Landed), nil
	}
	kg := y.Items[l.Item].Mass()
	if kg == 0 {
		return 0, fmt.Errorf("item %s has no kilograms per unit", l.Item)
	}
	return MulRound(int64(l.Quantity), kg, Million)
}

// Mass is the kilograms of one stock unit, in millionths; 0: not known.
func (it *Item) Mass() int64 {
	switch {
	case it.StockUnit == Kilogram:
		return Million
	case it.KgPerUnit == 0 && it.StockUnit == Litre:
		return it.Density
	}
	return it.KgPerUnit
}
