package models

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// Pay is what a worker is paid for one day and pay band. What is paid in a
// month for a day of a closed month before it puts that month's pay right.
type Pay struct {
	Worker                               string
	Date                                 costing.Date
	Band                                 clock.Band
	Adjusts                              bool
	Seconds                              int64 // paid
	Booked, Indirect, Provisional        int64 // of them: on jobs, on indirect codes, not settled yet
	Base, OnCost, Premium, PremiumOnCost costing.Money
}

// Cost is all that the pay costs.
func (p *Pay) Cost() costing.Money { return p.Base + p.OnCost + p.Premium + p.PremiumOnCost }

func (p *Pay) isNought() bool {
	return p.Seconds == 0 && p.Booked == 0 && p.Indirect == 0 && p.Provisional == 0 && p.Base == 0 && p.OnCost == 0 && p.Premium == 0 && p.PremiumOnCost == 0
}

func (p *Pay) add(o *Pay, sign int64) {
	p.Seconds += sign * o.Seconds
	p.Booked += sign * o.Booked
	p.Indirect += sign * o.Indirect
	p.Provisional += sign * o.Provisional
	m := costing.Money(sign)
	p.Base += m * o.Base
	p.OnCost += m * o.OnCost
	p.Premium += m * o.Premium
	p.PremiumOnCost += m * o.PremiumOnCost
}

// PayOf is what a piece of time is paid.
func PayOf(p *clock.Piece) Pay {
	pay := Pay{
		Worker: p.Worker, Date: p.Date, Band: p.Band, Seconds: p.Seconds,
		Base: p.Base, OnCost: p.OnCost, Premium: p.Premium, PremiumOnCost: p.PremiumOnCost,
	}
	if p.Job != "" {
		pay.Booked = p.Seconds
	} else {
		pay.Indirect = p.Seconds
	}
	if p.Provisional {
		pay.Provisional = p.Seconds
	}
	return pay
}

// payroll gathers pay by worker, day and band.
type payroll map[payKey]*Pay

func (l payroll) add(p *Pay, sign int64) {
	k := payKey{p.Worker, p.Date, p.Band}
	s := l[k]
	if s == nil {
		s = &Pay{Worker: p.Worker, Date: p.Date, Band: p.Band}
		l[k] = s
	}
	s.add(p, sign)
}

// list is the pay that isn't nought, by worker, day and band.
func (l payroll) list(adjusts bool) []Pay {
	keys := slices.SortedFunc(maps.Keys(l), func(a, b payKey) int {
		return cmp.Or(cmp.Compare(a.worker, b.worker), cmp.Compare(a.day, b.day), cmp.Compare(a.band, b.band))
	})
	var list []Pay
	for _, k := range keys {
		if p := l[k]; !p.isNought() {
			p.Adjusts = adjusts
			list = append(list, *p)
		}
	}
	return list
}

// Payroll lists what is paid in the months that two days lie in, or for open
// months within the days: of a closed month what was paid when it was closed,
// and in the first open one what closed months were paid too little or too much.
func (tx *Tx) Payroll(ctx context.Context, f *Figures, from, to costing.Date) ([]Pay, error) {
	live := payroll{}
	var all []Pay
	if f.Closed != 0 && from.Period() <= f.Closed {
		frozen, err := tx.frozenPay(ctx, f.Closes)
		if err != nil {
			return nil, err
		}
		for _, p := range frozen {
			if p.in >= from.Period() && p.in <= to.Period() {
				all = append(all, p.Pay)
			}
		}
	}
	open := costing.FromStart
	if f.Closed != 0 {
		open = f.Closed.Next().First()
	}
	err := tx.Pieces(f, max(from, open), to, func(p *clock.Piece) error {
		pay := PayOf(p)
		live.add(&pay, 1)
		return nil
	})
	if err != nil {
		return nil, err
	}
	all = append(all, live.list(false)...)
	if f.Closed != 0 && from <= open && to >= open {
		adjusting, err := tx.payAdjustments(ctx, f)
		if err != nil {
			return nil, err
		}
		all = append(all, adjusting...)
	}
	return all, nil
}

// payAdjustments is what closed months would be paid by what is known now,
// less what they were paid.
func (tx *Tx) payAdjustments(ctx context.Context, f *Figures) ([]Pay, error) {
	l := payroll{}
	err := tx.Pieces(f, costing.FromStart, f.Closed.Next().First()-1, func(p *clock.Piece) error {
		pay := PayOf(p)
		l.add(&pay, 1)
		return nil
	})
	if err != nil {
		return nil, err
	}
	frozen, err := tx.frozenPay(ctx, f.Closes)
	if err != nil {
		return nil, err
	}
	for i := range frozen {
		l.add(&frozen[i].Pay, -1)
	}
	return l.list(true), nil
}

// paidIn is pay with the month it was paid in.
type paidIn struct {
	Pay
	in costing.Period
}

// frozenPay reads the pay that closes froze.
func (tx *Tx) frozenPay(ctx context.Context, closes []costing.Close) ([]paidIn, error) {
	var list []paidIn
	before := costing.Period(0)
	for _, c := range closes {
		var rows []FrozenPayRow
		if err := tx.DB.WithContext(ctx).Table(frozenPayFile.stem).Find(&rows, "closed_ms = ?", c.At).Error; err != nil {
			return nil, err
		}
		for i := range rows {
			p, err := rows[i].pay()
			if err != nil {
				return nil, err
			}
			in := p.Date.Period()
			if p.Adjusts = in <= before; p.Adjusts {
				in = before.Next()
			}
			list = append(list, paidIn{p, in})
		}
		before = c.Period
	}
	slices.SortFunc(list, func(a, b paidIn) int {
		return cmp.Or(cmp.Compare(a.in, b.in), cmp.Compare(a.Worker, b.Worker), cmp.Compare(a.Date, b.Date), cmp.Compare(a.Band, b.Band))
	})
	return list, nil
}

func (r *FrozenPayRow) pay() (Pay, error) {
	day, err := r.Date.Date()
	return Pay{
		Worker: r.Worker, Date: day, Band: clock.Band(r.Band), Seconds: r.Seconds, Booked: r.Booked, Indirect: r.Indirect, Provisional: r.Provisional,
		Base: costing.Money(r.Base), OnCost: costing.Money(r.OnCost), Premium: costing.Money(r.Premium), PremiumOnCost: costing.Money(r.PremiumOnCost),
	}, err
}

func frozenPayRow(closed costing.Instant, p *Pay) FrozenPayRow {
	return FrozenPayRow{
		Closed: closed, Worker: p.Worker, Date: Day(p.Date.String()), Band: string(p.Band), Seconds: p.Seconds, Booked: p.Booked, Indirect: p.Indirect,
		Provisional: p.Provisional, Base: int64(p.Base), OnCost: int64(p.OnCost), Premium: int64(p.Premium), PremiumOnCost: int64(p.PremiumOnCost),
	}
}
