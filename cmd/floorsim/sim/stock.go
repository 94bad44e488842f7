package sim

import (
	"cmp"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/labels"
)

// store is what really lies on the shelves.
type store struct {
	lots   []lotState
	open   [][]int        // by item: lots with something left, first to expire first
	due    []costing.Date // by item: when the order on its way comes; 0: none
	serial string
	buys   int
}

// lotState is a lot as it really is.
type lotState struct {
	item    int
	left    int64
	expires costing.Date // 0: keeps
	payload string
	touched bool // since the last count
}

func newStore() store {
	return store{open: make([][]int, len(catalogue)), due: make([]costing.Date, len(catalogue))}
}

// stockUp puts on the shelves what was there before the first day.
func (f *floor) stockUp() {
	for i := range catalogue {
		f.receive(i, f.day-costing.Date(3+f.goods.IntN(55)), 10*3600)
	}
}

// goodsIn takes in today's deliveries and orders what runs low.
func (f *floor) goodsIn() {
	for i := range catalogue {
		s := &f.store
		if s.due[i] != 0 && s.due[i] <= f.day && f.day.Weekday() < 6 && !f.w.holiday[f.day] {
			s.due[i] = 0
			f.receive(i, f.day, 6*3600+f.goods.between(600, 3000))
		}
		if s.due[i] == 0 && f.onHand(i) < f.lotSize(i)*45/100 {
			s.due[i] = f.day + costing.Date(f.goods.between(4, 10))
		}
	}
}

func (f *floor) lotSize(item int) int64 {
	return catalogue[item].lot * million * int64(f.w.Config.blocks())
}

// onHand is what may still be used of an item.
func (f *floor) onHand(item int) (q int64) {
	for _, l := range f.store.open[item] {
		if !f.expired(l) {
			q += f.store.lots[l].left
		}
	}
	return q
}

func (f *floor) expired(lot int) bool {
	x := f.store.lots[lot].expires
	return x != 0 && x < f.day
}

// receive takes a delivery in: the lot's row, its label, maybe an invoice later.
func (f *floor) receive(item int, day costing.Date, second int) {
	it, s := &catalogue[item], &f.store
	size := roundTo(f.goods.around(f.lotSize(item), 900, 1100), million)
	row := Lot{
		Key: fmt.Sprintf("L%05d", len(s.lots)+1), Item: it.key, Quantity: costing.Quantity(size),
		Received: day.At(second/60, f.w.zone), SupplierBatch: fmt.Sprintf("%c%c-%05d", 'A'+f.goods.IntN(26), 'A'+f.goods.IntN(26), f.goods.IntN(100000)),
	}
	lot := lotState{item: item, left: size}
	if it.unit != each { // a drum is never quite what its label says
		lot.left = roundTo(f.goods.around(size, 996, 1003), million/100)
	}
	if it.life > 0 {
		x := day + costing.Date(it.life)
		lot.expires, row.Expires = x, &x
	}
	f.price(&row, item, day)
	s.serial, lot.payload = labels.NextSerial(labels.Lot, s.serial)
	f.codes = append(f.codes, Code{"lot", row.Key, lot.payload})
	f.lotRows = append(f.lotRows, row)
	s.lots = append(s.lots, lot)
	s.open[item] = append(s.open[item], len(s.lots)-1)
	slices.SortStableFunc(s.open[item], func(a, b int) int { return cmp.Compare(s.lots[a].expires, s.lots[b].expires) })
}

// price sets what a lot costs: near the standard, infusion resin 7 % dearer
// from the fourth month on, foreign suppliers in their currency.
func (f *floor) price(row *Lot, item int, day costing.Date) {
	it := &catalogue[item]
	base := f.goods.around(it.price*million/100, 970, 1035)
	if it.key == "RES-INF" && day > f.w.Config.Start+90 {
		base = share(base, 1070)
	}
	total := mulDiv(base, int64(row.Quantity), million)
	row.Price, row.Landed = cents(total), cents(share(total, f.goods.between(8, 20)))
	if it.currency != baseCurrency {
		row.Currency = it.currency
		row.FX = costing.Price(roundTo(f.goods.around(int64(contractRates[it.currency]), 985, 1015), 100))
		row.Price = cents(mulDiv(total, million, int64(row.FX)))
		row.Landed = cents(share(total, f.goods.between(35, 60)))
	}
	if !f.goods.perMille(f.rates().LaterInvoice) {
		return
	}
	on := day + costing.Date(f.goods.between(5, 25))
	inv := Invoice{Lot: row.Key, At: on.At(14*60, f.w.zone), Price: cents(f.goods.around(row.Price, 980, 1030)), Currency: row.Currency, FX: row.FX, Landed: row.Landed}
	if on <= f.w.end {
		f.invoices = append(f.invoices, inv)
	}
}

// portion is part of a draw: what left one lot, and the label that was scanned.
type portion struct {
	lot, label int
	quantity   int64
	read       int64 // what is scanned for it: of factored items the net
}

// take draws from the shelves, the first to expire first. What is missing is
// fetched at once: the floor must not be stopped.
func (f *floor) take(item int, quantity int64) (ps []portion) {
	s := &f.store
	for quantity > 0 {
		k := slices.IndexFunc(s.open[item], func(l int) bool { return !f.expired(l) && s.lots[l].left > 0 })
		if k < 0 {
			f.receive(item, f.day, 6*3600)
			continue
		}
		l := s.open[item][k]
		q := min(quantity, s.lots[l].left)
		ps = append(ps, portion{l, l, q, q})
		f.move(l, q)
		quantity -= q
		if s.lots[l].left == 0 {
			s.open[item] = slices.Delete(s.open[item], k, k+1)
		}
	}
	// The empty pail's label is nearer than the new one's.
	if len(ps) > 1 && f.goods.perMille(f.rates().OverIssue) {
		ps[1].label = ps[0].label
	}
	return ps
}

func (f *floor) move(lot int, q int64) {
	f.store.lots[lot].left -= q
	f.store.lots[lot].touched = true
}

// lastWorkday reports whether stock is counted today.
func (f *floor) lastWorkday() bool {
	if f.day.Weekday() > 5 || f.w.holiday[f.day] {
		return false
	}
	for d := f.day + 1; d.Period() == f.day.Period(); d++ {
		if d.Weekday() <= 5 && !f.w.holiday[d] {
			return false
		}
	}
	return true
}

// scrapExpired writes off what nobody may use any more.
func (f *floor) scrapExpired() {
	s := &f.store
	for item := range s.open {
		for _, l := range slices.Clone(s.open[item]) {
			if !f.expired(l) {
				continue
			}
			q := s.lots[l].left
			s.open[item] = slices.DeleteFunc(s.open[item], func(o int) bool { return o == l })
			f.move(l, q)
			at := f.at(f.goods.between(9*3600, 11*3600))
			f.facts = append(f.facts, Fact{Kind: "scrap", Lot: f.lotRows[l].Key, From: at, To: at, Left: costing.Quantity(q), Scanned: true})
			f.desk.queue(sentence{station: f.w.stores[1], at: at, fresh: true, steps: []step{
				{payload: f.w.cards.scrap}, {payload: s.lots[l].payload}, {payload: costing.FormatDecimal(q), slow: true},
			}})
		}
	}
}

// countStock writes down what is really there, to the tenth.
func (f *floor) countStock() {
	at := f.day.At(6*60, f.w.zone)
	for l := range f.store.lots {
		lot := &f.store.lots[l]
		if lot.touched || lot.left > 0 && f.lotRows[l].Received < at {
			f.counts = append(f.counts, Count{f.lotRows[l].Key, at, costing.Quantity(roundTo(lot.left, million/10))})
			lot.touched = false
		}
	}
}
