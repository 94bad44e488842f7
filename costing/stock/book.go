package stock

import (
	"maps"
	"slices"

	"hulltally/costing"
)

// Book is the state of a unit's events folded in order.
type Book struct {
	// Lot-costed: what was drawn so far, and what that cost.
	Drawn   costing.Quantity `json:"drawn,omitempty"`
	Charged costing.Money    `json:"charged,omitempty"`
	// Average-costed: what the pool holds and is worth, and the last quantity
	// above nought with its value: the last unit cost.
	Pool      costing.Quantity `json:"pool,omitempty"`
	Value     costing.Money    `json:"value,omitempty"`
	LastPool  costing.Quantity `json:"last_pool,omitempty"`
	LastValue costing.Money    `json:"last_value,omitempty"`

	Lots map[string]*Shelf `json:"lots,omitempty"`
	// Offcuts is what each lot cut from a lot-costed one took of its cost.
	Offcuts map[string]costing.Money `json:"offcuts,omitempty"`
}

// Shelf is the physical side of one lot.
type Shelf struct {
	Received   costing.Quantity `json:"received,omitempty"`
	Issued     costing.Quantity `json:"issued,omitempty"` // what left the lot for jobs
	Returned   costing.Quantity `json:"returned,omitempty"`
	Scrapped   costing.Quantity `json:"scrapped,omitempty"`
	Difference costing.Quantity `json:"difference,omitempty"` // counted − book
	Cut        costing.Quantity `json:"cut,omitempty"`        // became lots of their own
	Opened     costing.Instant  `json:"opened,omitempty"`     // when first issued from
	// Net is what each job drew, net, since the lot was last counted.
	Net map[string]costing.Quantity `json:"net,omitempty"`
}

// Closing is what should be there.
func (s *Shelf) Closing() costing.Quantity {
	return s.Received - s.Issued + s.Returned - s.Scrapped - s.Cut + s.Difference
}

// Charge is what an event costs, and whom.
type Charge struct {
	Event
	Item     string
	Date     costing.Date
	Drawn    costing.Quantity // what left the lot; negative came back
	Net      costing.Quantity // what was meant for the part
	Wasted   costing.Quantity
	Amount   costing.Money
	OverBook bool // more was drawn than the book held
	Shares   []JobShare
}

// JobShare is a job's part of a count's difference.
type JobShare struct {
	Job      string
	Quantity costing.Quantity
	Amount   costing.Money
}

// Costing charges the events of units of one yard as known at an instant.
type Costing struct {
	Yard *costing.Yard
	AsOf costing.Instant // invoices later than this are not known yet
	// Offcuts is what lots cut from others cost, as the others' books say.
	Offcuts map[string]costing.Money
}

// Cost is what a lot cost as known at the instant of the costing.
func (c *Costing) Cost(l *costing.Lot) costing.Money {
	if l.Parent != "" {
		return c.Offcuts[l.Key]
	}
	return l.CostAt(c.AsOf)
}

// Note makes a book's offcuts known to those who cost them.
func (c *Costing) Note(b *Book) {
	for lot, cost := range b.Offcuts {
		if c.Offcuts == nil {
			c.Offcuts = map[string]costing.Money{}
		}
		c.Offcuts[lot] = cost
	}
}

// Apply extends a unit's book by its next event.
func (c *Costing) Apply(b *Book, e Event) (Charge, error) {
	ch := Charge{Event: e, Date: costing.DateOf(e.At, c.Yard.Zone)}
	lot := c.Yard.Lots[e.Lot]
	item := c.Yard.Items[lot.Item]
	ch.Item = item.Key
	if b.Lots == nil {
		b.Lots = map[string]*Shelf{}
	}
	shelf := b.Lots[e.Lot]
	if shelf == nil {
		shelf = &Shelf{}
		b.Lots[e.Lot] = shelf
	}
	var err error
	switch e.Kind {
	case Receipt:
		shelf.Received += e.Quantity
		if lot.Parent != "" && item.CostMethod == costing.ByAverage {
			return ch, nil // it never left the pool
		}
		ch.Amount = c.Cost(lot)
		b.Pool += e.Quantity
		b.Value += ch.Amount
		b.remember()
		return ch, nil
	case Waste:
		ch.Wasted = e.Quantity
		return ch, nil
	case Issue:
		if ch.Net, ch.Drawn, err = c.issued(item, e, ch.Date); err != nil {
			return ch, err
		}
		shelf.Issued += ch.Drawn
		if shelf.Opened == 0 {
			shelf.Opened = e.At
		}
	case Return:
		ch.Net, ch.Drawn = -e.Quantity, -e.Quantity
		shelf.Returned += e.Quantity
	case Scrap:
		ch.Drawn = e.Quantity
		shelf.Scrapped += e.Quantity
	case Difference:
		ch.Drawn = shelf.Closing() - e.Quantity
		shelf.Difference -= ch.Drawn
	case Cut:
		ch.Drawn = e.Quantity
		shelf.Cut += e.Quantity
	}
	ch.OverBook = e.Kind != Difference && ch.Drawn > 0 && shelf.Closing() < 0
	if e.Kind == Cut {
		return ch, c.cut(b, item, lot, &ch)
	}
	if ch.Amount, err = c.draw(b, item, lot, ch.Drawn); err != nil {
		return ch, err
	}
	return ch, c.settle(&ch, shelf, item)
}

// cut moves an offcut's share of the cost to it. In a pool, nothing moves.
func (c *Costing) cut(b *Book, it *costing.Item, lot *costing.Lot, ch *Charge) (err error) {
	if it.CostMethod == costing.ByAverage {
		return nil
	}
	if ch.Amount, err = c.draw(b, it, lot, ch.Drawn); err != nil {
		return err
	}
	if b.Offcuts == nil {
		b.Offcuts = map[string]costing.Money{}
	}
	b.Offcuts[ch.Offcut] = ch.Amount
	return nil
}

// issued gives the net quantity read and what left the lot for it.
func (c *Costing) issued(it *costing.Item, e Event, day costing.Date) (net, drawn costing.Quantity, err error) {
	if it.WasteMode != costing.Factored {
		return e.Quantity, e.Quantity, nil
	}
	factor := it.WasteFactor.Or(day, 0)
	if job := c.Yard.Jobs[e.Job]; job != nil && job.WasteFactor != nil {
		factor = *job.WasteFactor
	}
	drawn, err = costing.GrossUp(e.Quantity, factor)
	return e.Quantity, drawn, err
}

// draw charges a quantity by the item's cost method. More than the book holds
// is charged at the last unit cost.
func (c *Costing) draw(b *Book, it *costing.Item, lot *costing.Lot, q costing.Quantity) (costing.Money, error) {
	if it.CostMethod != costing.ByAverage {
		b.Drawn += q
		total, err := costing.MulRound(int64(c.Cost(lot)), int64(b.Drawn), int64(lot.Quantity))
		step := costing.Money(total) - b.Charged
		b.Charged += step
		return step, err
	}
	amount, err := c.pooled(b, it, q)
	b.Pool -= q
	b.Value -= amount
	b.remember()
	return amount, err
}

func (c *Costing) pooled(b *Book, it *costing.Item, q costing.Quantity) (costing.Money, error) {
	var m int64
	var err error
	switch {
	case b.Pool > 0:
		m, err = costing.MulRound(int64(b.Value), int64(q), int64(b.Pool))
	case b.LastPool > 0:
		m, err = costing.MulRound(int64(b.LastValue), int64(q), int64(b.LastPool))
	default:
		m, err = costing.RoundRat(c.Yard.Currency.Extend(q, it.StandardPrice))
	}
	return costing.Money(m), err
}

func (b *Book) remember() {
	if b.Pool > 0 {
		b.LastPool, b.LastValue = b.Pool, b.Value
	}
}

// settle keeps the jobs' net draws since the last count, and divides a count's
// difference of a factored item over them: the factor is trued up.
func (c *Costing) settle(ch *Charge, shelf *Shelf, it *costing.Item) error {
	if it.WasteMode != costing.Factored {
		return nil
	}
	if ch.Kind != Difference {
		if ch.Job != "" {
			if shelf.Net == nil {
				shelf.Net = map[string]costing.Quantity{}
			}
			shelf.Net[ch.Job] += ch.Net
		}
		return nil
	}
	net := shelf.Net
	shelf.Net = nil
	jobs := slices.Sorted(maps.Keys(net))
	jobs = slices.DeleteFunc(jobs, func(j string) bool { return net[j] <= 0 })
	if len(jobs) == 0 || ch.Drawn == 0 && ch.Amount == 0 {
		return nil
	}
	weights := make([]int64, len(jobs))
	for i, j := range jobs {
		weights[i] = int64(net[j])
	}
	amounts, err := costing.Apportion(int64(ch.Amount), weights)
	if err != nil {
		return err
	}
	quantities, err := costing.Apportion(int64(ch.Drawn), weights)
	if err != nil {
		return err
	}
	for i, j := range jobs {
		ch.Shares = append(ch.Shares, JobShare{j, costing.Quantity(quantities[i]), costing.Money(amounts[i])})
	}
	return nil
}

// Worth is what a unit's stock is worth as known at the instant of the costing.
func (c *Costing) Worth(u Unit, b *Book) costing.Money {
	if u.Lot == "" {
		return b.Value
	}
	if shelf := b.Lots[u.Lot]; shelf == nil || shelf.Received == 0 {
		return -b.Charged
	}
	return c.Cost(c.Yard.Lots[u.Lot]) - b.Charged
}

// Equal reports whether two books say the same.
func (b *Book) Equal(o *Book) bool {
	if b == nil || o == nil {
		return b == o
	}
	return b.Drawn == o.Drawn && b.Charged == o.Charged && b.Pool == o.Pool && b.Value == o.Value &&
		b.LastPool == o.LastPool && b.LastValue == o.LastValue && maps.Equal(b.Offcuts, o.Offcuts) &&
		maps.EqualFunc(b.Lots, o.Lots, func(x, y *Shelf) bool {
			return x.Received == y.Received && x.Issued == y.Issued && x.Returned == y.Returned && x.Scrapped == y.Scrapped &&
				x.Difference == y.Difference && x.Cut == y.Cut && x.Opened == y.Opened && maps.Equal(x.Net, y.Net)
		})
}
