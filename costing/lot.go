package costing

// Lot is one delivery of an item.
type Lot struct {
	Key, Item     string
	Received      Instant
	Quantity      Quantity // stock unit
	Cost          Money    // round(price × FX) + landed share, before any invoice
	Foreign       Foreign  // the price as it was agreed
	Landed        Money
	Expires       *Date
	SupplierBatch string
	AwaitsInvoice bool   // its price is the standard price until an invoice comes
	Place         string // where it was last put; empty: not known
	Delivery      string // the delivery it came with
	Supplier      string // of that delivery

	// An offcut is a lot cut from another, its parent, whose cost it shares.
	Parent  string
	FromJob string   // the job it was left over from; empty: it was cut in the stores
	Offcuts []string // the lots cut from this one, sorted

	Invoices []Invoice // by instant
	Landings []Landing // by instant
	Counts   []Count   // by instant
	Holds    []Hold    // by instant
}

// Landing is the lot's share of a landed cost that came to be known later than
// the lot itself: freight, customs.
type Landing struct {
	At     Instant
	Amount Money
}

// Hold puts a lot into quarantine, or releases it.
type Hold struct {
	At       Instant
	On       bool
	Who, Why string
}

// HeldAt is the hold that is on at an instant, or nil.
func (l *Lot) HeldAt(at Instant) *Hold {
	var last *Hold
	for i := range l.Holds {
		if l.Holds[i].At > at {
			break
		}
		last = &l.Holds[i]
	}
	if last == nil || !last.On {
		return nil
	}
	return last
}

// Invoice restates what a lot cost. Without a landed share of its own the
// lot's former one stands: freight was paid whatever the maker charges.
type Invoice struct {
	At     Instant
	Price  Money // round(price × FX)
	Landed *Money
	// Foreign is the price as the invoice states it.
	Foreign Foreign
}

// Foreign is an amount in the currency it was agreed in, with the rate it was
// taken into the books at.
type Foreign struct {
	Currency string // empty: the yard's own
	Amount   int64  // millionths
	Rate     Price  // base currency per unit
}

// Delivery is one arrival of goods.
type Delivery struct {
	Key            string
	Received       Instant
	Supplier, Note string
	Lots           []string // sorted
	Costs          []LandedCost
}

// LandedCost is freight, customs or the like of a delivery.
type LandedCost struct {
	At     Instant
	What   string
	Cost   Money
	ByMass bool
	Foreign
}

// Payment is what was paid of a lot or of a purchase document.
type Payment struct {
	Key, Lot, Document string
	Date               Date
	Foreign
}

// CountSheet is a stock count of a place in the course of being made.
type CountSheet struct {
	Key, Place, Who string
	Opened          Instant
	Tallies         []Counted // by lot and round
}

// Counted is what somebody counted of a lot, before it is posted.
type Counted struct {
	Lot      string
	Round    int64
	At       Instant
	Quantity Quantity
	Who      string
}

// Count states what was physically there.
type Count struct {
	At         Instant
	Quantity   Quantity
	Who, Sheet string // who posted it, from which count sheet
}

// CostAt is the lot's cost as known at an instant: the last invoice by then
// restates it, and freight billed by then is added. What an offcut cost, its
// parent's book says.
func (l *Lot) CostAt(at Instant) Money {
	cost, landed := l.Cost, l.Landed
	for _, inv := range l.Invoices {
		if inv.At > at {
			break
		}
		if inv.Landed != nil {
			landed = *inv.Landed
		}
		cost = inv.Price + landed
	}
	for _, share := range l.Landings {
		if share.At <= at {
			cost += share.Amount
		}
	}
	return cost
}
