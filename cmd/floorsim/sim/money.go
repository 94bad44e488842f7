package sim

import (
	"fmt"

	"hulltally/costing"
)

// milestones are the stages whose end is billed, and the share of the price.
var milestones = []struct {
	stage, words string
	percent      int64
}{
	{"", "On signing", 20},
	{"SHELL", "Hull and deck moulded", 20},
	{"STRUC", "Structure complete", 15},
	{"FAIRX", "Painted", 15},
	{"SYS", "Machinery and systems fitted", 15},
	{"AFLOAT", "Hand-over", 15},
}

// billStages bills a hull's milestones as they are reached; what was reached
// before the simulation is dated before it.
func (f *floor) billStages(h int) {
	p, hull := &f.w.plans[h], f.w.Hulls[h].Key
	for n, m := range milestones {
		key := hull + m.stage
		if f.billed[key] || m.stage != "" && f.reached[h][stageAt(m.stage)] < 1000 {
			continue
		}
		f.billed[key] = true
		on := f.day
		switch {
		case m.stage == "":
			on = p.signed
		case p.fate.before != "" && stageAt(m.stage) <= stageAt(p.fate.before):
			on = f.w.Config.Start - costing.Date(30*(len(milestones)-n)-20)
		}
		f.billing = append(f.billing, Bill{hull, max(on, p.signed), m.words, cents(p.base * m.percent / 100)})
	}
	for _, i := range p.tasks {
		f.billChange(i, h)
	}
}

// billChange bills an agreed change order when its work is done.
func (f *floor) billChange(i, h int) {
	key := f.w.Jobs[f.w.tasks[i].job].Change
	if key == "" || f.billed[key] || !f.states[i].signed {
		return
	}
	f.billed[key] = true
	for _, c := range f.w.Changes {
		if c.Key == key && c.Status == string(costing.Agreed) {
			f.billing = append(f.billing, Bill{f.w.Hulls[h].Key, f.day, "Change order " + key + ": " + c.Title, cents(mulDiv(c.Price, int64(f.w.Hulls[h].PriceRate), million))})
		}
	}
}

// buyParts buys a task's parts on the first day it is worked on.
func (f *floor) buyParts(i int) {
	st, t := &f.states[i], f.w.tasks[i]
	if st.bought {
		return
	}
	st.bought = true
	for _, b := range t.parts {
		f.store.buys++
		row := Bought{
			Document: fmt.Sprintf("PO-%05d", f.store.buys), Date: min(f.day+costing.Date(f.goods.IntN(6)), f.w.end),
			Hull: f.w.Hulls[t.hulls[0]].Key, Stage: stagePlans[t.stage].key, Description: b.words, Amount: b.amount,
		}
		if b.currency != baseCurrency {
			row.Currency = b.currency
			row.FX = costing.Price(roundTo(f.goods.around(int64(contractRates[b.currency]), 985, 1015), 100))
			row.Amount = cents(mulDiv(b.amount, million, int64(row.FX)))
		}
		f.bought = append(f.bought, row)
	}
}
