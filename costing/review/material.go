package review

import (
	"math/big"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/variance"
)

// quantityOf is what the quantity of an item did, however it is split.
func quantityOf(it *variance.ItemRow) (m costing.Money) {
	for cause, v := range it.Variances {
		if t := themeOf[cause]; t == Quantity || t == Unplanned {
			m += v
		}
	}
	return m
}

// over is what an item's quantity will have cost beyond its estimate: what was
// only drawn ahead of the work is not in it.
func over(it *variance.ItemRow, finished bool) costing.Money {
	if finished {
		return quantityOf(it)
	}
	return quantityOf(it) - (it.Estimate - it.Allowed)
}

func (s *speech) quantity() {
	finished := s.progress().Cmp(big.NewRat(1, 1)) >= 0
	var worst *variance.ItemRow
	var row *variance.Row
	for i := range s.h.Rows {
		r := &s.h.Rows[i]
		if r.Stage != s.f.Stage.Key || r.Element != costing.Material || r.Purpose.Apart() {
			continue
		}
		for j := range r.Items {
			if worst == nil || over(&r.Items[j], finished) > over(worst, finished) {
				worst, row = &r.Items[j], r
			}
		}
	}
	s.link(s.f.Stage.Name, s.stage()).text(": material, ").
		link(s.cash(s.f.Cost), &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Part: "material"}).text(" more of it than estimated")
	if worst == nil || over(worst, finished) <= 0 || s.b.Yard.Items[worst.Item] == nil {
		s.text(".")
		return
	}
	it := s.b.Yard.Items[worst.Item]
	s.text(", most in ").
		link(it.Name, &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Element: costing.Material, Purpose: row.Purpose, Detail: it.Key}).
		text(" (" + s.cash(over(worst, finished)) + "): " + Amount(worst.Quantity, it.StockUnit) + " drawn")
	if worst.EstimateGross > 0 {
		s.text(", " + Amount(worst.EstimateGross, it.StockUnit) + " estimated" + excess(worst.Quantity, worst.EstimateGross))
	} else {
		s.text(", none estimated")
	}
	if worst.Waste > 0 {
		s.text(", " + Amount(worst.Waste, it.StockUnit) + " weighed as waste")
	}
	s.text(".")
}

// progress is that of the finding's stage.
func (s *speech) progress() *big.Rat {
	for i := range s.h.Stages {
		if st := &s.h.Stages[i]; st.Stage.Key == s.f.Stage.Key {
			return st.Progress
		}
	}
	return new(big.Rat)
}

// AllowedQuantity is what an item's estimate, its waste allowance in it, comes
// to at a progress.
func AllowedQuantity(it *variance.ItemRow, progress *big.Rat) costing.Quantity {
	v, err := costing.RoundRat(new(big.Rat).Mul(progress, new(big.Rat).SetInt64(int64(it.EstimateGross))))
	if err != nil {
		return 0
	}
	return costing.Quantity(v)
}

// excess is how much more was drawn than allowed, in per cent.
func excess(drawn, allowed costing.Quantity) string {
	v, err := costing.RoundRat(big.NewRat(int64(drawn-allowed)*100, int64(allowed)))
	if err != nil || v <= 0 {
		return ""
	}
	return " (+" + strconv.FormatInt(v, 10) + thin + "%)"
}

// Percent is a share in whole per cent.
func Percent(share *big.Rat) string {
	v, err := costing.RoundRat(new(big.Rat).Mul(share, big.NewRat(100, 1)))
	if err != nil {
		return ""
	}
	return People(strconv.FormatInt(v, 10)) + thin + "%"
}

// most names the stage where most of a hull-wide theme lies.
func (s *speech) most(t Theme) *speech {
	var worst *Stage
	for i := range s.h.Stages {
		if st := &s.h.Stages[i]; worst == nil || st.Final[t] > worst.Final[t] {
			worst = st
		}
	}
	if worst == nil || worst.Final[t] <= 0 {
		return s
	}
	return s.text(", most in ").link(worst.Stage.Name, &Target{Hull: s.h.Hull.Key, Stage: worst.Stage.Key}).
		text(" (" + s.cash(worst.Final[t]) + ")")
}
