package sim

import (
	"hulltally/costing"
)

// noon is when a day's draws are noted in the truth: after a count, before the next.
const noon = 12 * 3600

// drawn is how far a material of a task has been drawn.
type drawn struct{ net, gross, waste int64 }

// drawMaterial lets every task worked on today fetch what it needs: ahead of
// the work, and everything once nine tenths are done.
func (f *floor) drawMaterial() {
	first := map[int]int{} // task: the first person on it today
	var order []int
	for i := range f.people {
		if f.people[i].to == 0 {
			continue
		}
		for _, s := range f.people[i].segments {
			if s.target >= 0 {
				if _, ok := first[s.target]; !ok {
					first[s.target] = i
					order = append(order, s.target)
				}
			}
		}
	}
	for _, i := range order {
		f.buyParts(i)
		f.drawFor(i, first[i])
	}
}

// drawFor issues a task's material at the stores or at the worker's clock station.
func (f *floor) drawFor(i, who int) {
	t, st := f.w.tasks[i], &f.states[i]
	ahead := min(1000, st.done*1100/max(1, t.truth)+60)
	if st.done*10 >= t.truth*9 {
		ahead = 1000
	}
	var issues []issue
	var wet bool
	for k := range t.lines {
		if is, ok := f.need(i, k, ahead); ok {
			wet = wet || catalogue[is.item].unit == kg || catalogue[is.item].unit == litre
			issues = append(issues, is)
		}
	}
	if len(issues) == 0 {
		return
	}
	s, head := f.issueSentence(i, who, wet)
	var later []issue
	for _, is := range issues {
		if is.wasted > 0 || is.returned > 0 {
			later = append(later, is)
		}
		f.issueSteps(&s, head, is)
	}
	f.desk.queue(s)
	f.afterwards(i, who, s.station, later)
}

// issue is one material line of a sentence.
type issue struct {
	task, item       int
	portions         []portion
	wasted, returned int64
	from             int // lot of what is wasted or returned
	unscanned        bool
}

// need works out a draw of a task's line: at least a quarter of it at a time, in
// the unit it is handed out in, and notes where it really went.
func (f *floor) need(i, k int, ahead int64) (issue, bool) {
	t, l, dr := f.w.tasks[i], &f.w.tasks[i].lines[k], &f.states[i].lines[k]
	it := &catalogue[l.item]
	due := mulDiv(l.net, ahead, 1000)
	if due == dr.net || due < l.net && (due-dr.net)*4 < l.net {
		return issue{}, false
	}
	net, is := due-dr.net, issue{task: i, item: l.item}
	var left, waste int64
	if it.factored >= 0 {
		net = max(handOut(it, net), million/100)
		factor := int64(it.factored) * million / 1000
		if own := f.w.Jobs[t.job].WasteFactor; own != nil {
			factor = int64(*own)
		}
		waste = mulDiv(net, f.goods.around(factor, 850, 1280), million)
		left = net + waste
	} else {
		want := due + mulDiv(due, l.waste, million) - dr.gross
		if want > 0 {
			left = handOut(it, want)
		}
		waste = mulDiv(net, l.waste, million)
		if due == l.net { // what is over at the end is waste too
			waste = max(0, dr.gross+left-due-dr.waste)
		}
		is.wasted = f.weighed(it, waste)
	}
	dr.net, dr.gross, dr.waste = due, dr.gross+left, dr.waste+waste
	if left == 0 {
		return issue{}, false
	}
	if it.factored < 0 && it.unit != each && f.goods.perMille(f.rates().Return) {
		is.returned = handOut(it, share(left, f.goods.between(100, 300)))
	}
	is.portions = f.take(l.item, left+is.returned)
	if it.factored >= 0 {
		readNet(is.portions, net, left)
	}
	is.from = is.portions[len(is.portions)-1].lot
	is.unscanned = f.goods.perMille(f.rates().ForgottenIssue)
	f.recordDraw(is, left, net, waste)
	return is, true
}

// readNet spreads the net of a factored draw over its portions, as weighed: the
// floor scans what is meant for the part, the factor adds the rest.
func readNet(ps []portion, net, left int64) {
	rest := net
	for i := range ps {
		ps[i].read = roundTo(mulDiv(net, ps[i].quantity, left), million/100)
		if i == len(ps)-1 {
			ps[i].read = rest
		}
		rest -= ps[i].read
	}
}

// recordDraw notes the truth of a draw, lot by lot.
func (f *floor) recordDraw(is issue, left, net, waste int64) {
	restNet, restWaste := net, waste
	for n, p := range is.portions {
		a, b := mulDiv(net, p.quantity, left+is.returned), mulDiv(waste, p.quantity, left+is.returned)
		if n == len(is.portions)-1 {
			a, b = restNet, restWaste
		}
		restNet, restWaste = restNet-a, restWaste-b
		f.facts = append(f.facts, Fact{
			Kind: "draw", Job: f.key(is.task), Lot: f.lotRows[p.lot].Key, From: f.at(noon), To: f.at(noon),
			Left: costing.Quantity(p.quantity), Net: costing.Quantity(a), Waste: costing.Quantity(b), Scanned: !is.unscanned,
		})
	}
}

// handOut rounds a quantity up to what can be handed out: whole sheets and
// pieces, tenths of a metre of roll, weighed to the hundredth.
func handOut(it *stock, q int64) int64 {
	up := func(q, step int64) int64 { return (q + step - 1) / step * step }
	switch {
	case it.sheet > 0:
		return up(q, it.sheet*million/1000)
	case it.roll > 0:
		return up(q, it.roll*million/1000/10)
	case it.unit == each:
		return up(q, million)
	case it.unit == metre:
		return up(q, million/10)
	}
	return up(q, million/100)
}

// weighed is the waste that reaches a scale: weights to the hundredth, never
// more than there is.
func (f *floor) weighed(it *stock, waste int64) int64 {
	if it.role == "consumable" || it.unit == each || it.unit == metre || waste < million/5 || f.goods.perMille(f.rates().UnweighedWaste) {
		return 0
	}
	return f.goods.around(waste, 950, 1000) / (million / 100) * (million / 100)
}

// scanned is how a quantity is keyed in: rolls in metres, cores in sheets,
// paint now and then by weight, the rest in the stock unit.
func (f *floor) scanned(it *stock, q int64) string {
	whole := func(size int64, unit costing.Unit) (string, bool) {
		n := mulDiv(q, million, size)
		return costing.FormatDecimal(n) + string(unit), mulDiv(n, size, million) == q
	}
	if it.roll > 0 {
		if s, ok := whole(it.roll*million/1000, metre); ok {
			return s
		}
	}
	if it.sheet > 0 {
		if s, ok := whole(it.sheet*million/1000, each); ok {
			return s
		}
	}
	if it.unit == litre && f.goods.perMille(300) {
		// The scale shows grams; the book's litres then differ by less than a thimble.
		return costing.FormatDecimal(roundTo(mulDiv(q, it.density, 1000), million/1000)) + string(kg)
	}
	return costing.FormatDecimal(q)
}
