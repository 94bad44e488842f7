package costingtest

import (
	"math/big"
	"slices"
	"time"
)

// charge is money and stock that reached a job, or "" for an overhead account.
type charge struct {
	item, job            string
	quantity, net, waste *big.Rat
	cost                 int64
}

// lotState is what a lot has seen so far.
type lotState struct {
	row                                  Row
	item                                 Row
	quantity, book                       *big.Rat
	cost                                 int64 // of the whole lot
	received, issued, returned, scrapped *big.Rat
	difference                           *big.Rat
	drawn                                *big.Rat
	spent                                int64
	jobs                                 []string // that drew since the last count
	net                                  map[string]*big.Rat
}

// pool is an averaged item's stock, or a lot's own.
type pool struct {
	value    int64
	quantity *big.Rat
	last     *big.Rat // unit cost in minor units
}

// stores is what the stores hold and what left them.
type stores struct {
	lots    map[string]*lotState
	pools   map[string]*pool // of averaged items
	charges []charge
}

// event is anything that moves a lot, in order.
type event struct {
	at      time.Time
	station string
	n       int
	receipt Row
	count   Row
	act     *act
}

// stock plays everything the stores saw up to an instant.
func (o *Oracle) stock(acts []*act, now time.Time) *stores {
	s := &stores{lots: map[string]*lotState{}, pools: map[string]*pool{}}
	events := []event{}
	for _, r := range o.files["lots"] {
		s.lots[r["lot"]] = o.newLot(r, now)
		if at := instant(r["received"]); !at.After(now) {
			events = append(events, event{at: at, receipt: r})
		}
	}
	for _, r := range o.files["counts"] {
		if at := instant(r["at"]); !at.After(now) {
			events = append(events, event{at: at, count: r})
		}
	}
	for _, a := range acts {
		if a.lot != "" {
			events = append(events, event{at: a.at, station: a.station, n: a.n, act: a})
		}
	}
	slices.SortStableFunc(events, func(a, b event) int { return before(a.at, a.station, a.n, b.at, b.station, b.n) })
	for _, e := range events {
		o.move(s, e)
	}
	return s
}

// newLot works out a lot's quantity and cost, by the last invoice known.
func (o *Oracle) newLot(r Row, now time.Time) *lotState {
	item := o.find("items", "item", r["item"])
	l := &lotState{row: r, item: item, quantity: convert(item, num(r["quantity"]), r["unit"]), net: map[string]*big.Rat{}}
	for _, p := range []**big.Rat{&l.book, &l.received, &l.issued, &l.returned, &l.scrapped, &l.difference, &l.drawn} {
		*p = new(big.Rat)
	}
	invoices := slices.Clone(o.files["invoices"])
	slices.SortStableFunc(invoices, func(a, b Row) int { return instant(a["at"]).Compare(instant(b["at"])) })
	price, landed := r, r["landed"]
	for _, invoice := range invoices {
		if invoice["lot"] != r["lot"] || instant(invoice["at"]).After(now) {
			continue
		}
		price = invoice
		if invoice["landed"] != "" { // one that names none leaves what was known
			landed = invoice["landed"]
		}
	}
	l.cost = o.minor(mul(num(price["price"]), fx(price["fx"]))) + o.minor(num(landed))
	return l
}

func fx(s string) *big.Rat {
	if s == "" {
		return whole(1)
	}
	return num(s)
}

func (o *Oracle) move(s *stores, e event) {
	switch {
	case e.receipt != nil:
		l := s.lots[e.receipt["lot"]]
		l.received, l.book = l.quantity, add(l.book, l.quantity)
		if l.item["cost_method"] == "average" {
			p := o.pool(s, l.item)
			p.value += l.cost
			p.quantity = add(p.quantity, l.quantity)
		}
	case e.count != nil:
		o.count(s, e.count)
	default:
		o.act(s, e.act)
	}
}

func (o *Oracle) pool(s *stores, item Row) *pool {
	p := s.pools[item["item"]]
	if p == nil {
		p = &pool{quantity: new(big.Rat), last: mul(num(item["standard_price"]), o.scale())}
		s.pools[item["item"]] = p
	}
	return p
}

// take draws a quantity from a lot and gives its cost.
func (o *Oracle) take(s *stores, l *lotState, q *big.Rat) int64 {
	l.book = sub(l.book, q)
	if l.item["cost_method"] != "average" {
		l.drawn = add(l.drawn, q)
		cost := round(quo(mul(whole(l.cost), l.drawn), l.quantity)) - l.spent
		l.spent += cost
		return cost
	}
	p := o.pool(s, l.item)
	if p.quantity.Sign() > 0 {
		p.last = quo(whole(p.value), p.quantity)
	}
	cost := round(mul(p.last, q))
	p.value -= cost
	p.quantity = sub(p.quantity, q)
	return cost
}

func (o *Oracle) act(s *stores, a *act) {
	l := s.lots[a.lot]
	if l == nil {
		return
	}
	c := charge{item: l.item["item"], job: a.job, quantity: a.quantity, net: a.quantity, waste: new(big.Rat)}
	switch a.kind {
	case "issue":
		if l.item["waste_mode"] == "factored" {
			c.quantity = sixPlaces(mul(a.quantity, add(whole(1), o.wasteFactor(l.item, a.job))))
		}
		c.cost = o.take(s, l, c.quantity)
		l.issued = add(l.issued, c.quantity)
		l.draws(a.job, c.net)
	case "return":
		c.quantity, c.net = neg(a.quantity), neg(a.quantity)
		c.cost = o.take(s, l, c.quantity)
		l.returned = add(l.returned, a.quantity)
		l.draws(a.job, c.quantity)
	case "waste":
		c.quantity, c.net, c.waste = new(big.Rat), new(big.Rat), a.quantity
	case "scrap":
		o.take(s, l, a.quantity)
		l.scrapped = add(l.scrapped, a.quantity)
		return
	}
	s.charges = append(s.charges, c)
}

func (o *Oracle) wasteFactor(item Row, job string) *big.Rat {
	if own := o.find("jobs", "job", job)["waste_factor"]; own != "" {
		return num(own)
	}
	return num(item["waste_factor"])
}

func (l *lotState) draws(job string, q *big.Rat) {
	if l.net[job] == nil {
		l.jobs = append(l.jobs, job)
	}
	sum(l.net, job, q)
}

// count makes the difference one more draw; a factored item's goes to the jobs
// that drew on the lot since its last count.
func (o *Oracle) count(s *stores, r Row) {
	l := s.lots[r["lot"]]
	if l == nil {
		return
	}
	missing := sub(l.book, num(r["quantity"]))
	cost := o.take(s, l, missing)
	l.difference = sub(l.difference, missing)
	jobs, parts := []string{}, []*big.Rat{}
	slices.Sort(l.jobs)
	for _, job := range l.jobs {
		if l.net[job].Sign() > 0 {
			jobs, parts = append(jobs, job), append(parts, l.net[job])
		}
	}
	l.jobs, l.net = nil, map[string]*big.Rat{}
	if l.item["waste_mode"] != "factored" || len(jobs) == 0 {
		return
	}
	quantities := splitQuantity(missing, parts)
	for i, amount := range split(cost, parts) {
		s.charges = append(s.charges, charge{
			item: l.item["item"], job: jobs[i], quantity: quantities[i], net: new(big.Rat), waste: new(big.Rat), cost: amount,
		})
	}
}
