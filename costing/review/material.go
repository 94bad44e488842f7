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

func (s *speech) quantity() {
	var worst *variance.ItemRow
	var row *variance.Row
	for i := range s.h.Rows {
		r := &s.h.Rows[i]
		if r.Stage != s.f.Stage.Key || r.Element != costing.Material || r.Purpose.Apart() {
			continue
		}
		for j := range r.Items {
			if worst == nil || quantityOf(&r.Items[j]) > quantityOf(worst) {
				worst, row = &r.Items[j], r
			}
		}
	}
	s.link(s.f.Stage.Name, s.stage()).text(": ").
		link(s.cash(s.f.Cost), &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Part: "material"}).text(" of material over allowance")
	it := s.item(worst)
	if it == nil {
		s.text(".")
		return
	}
	s.text(", most in ").
		link(it.Name, &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Element: costing.Material, Purpose: row.Purpose, Detail: it.Key}).
		text(" (" + s.cash(quantityOf(worst)) + "): " + Amount(worst.Quantity, it.StockUnit) + " drawn")
	if allowed := s.allowedQuantity(worst); allowed > 0 {
		s.text(", " + Amount(allowed, it.StockUnit) + " allowed" + excess(worst.Quantity, allowed))
	} else {
		s.text(", none allowed")
	}
	if worst.Waste > 0 {
		s.text(", " + Amount(worst.Waste, it.StockUnit) + " weighed as waste")
	}
	s.text(".")
}

func (s *speech) item(row *variance.ItemRow) *costing.Item {
	if row == nil || quantityOf(row) <= 0 {
		return nil
	}
	return s.b.Yard.Items[row.Item]
}

// allowedQuantity is the estimate's quantity, its waste allowance in it, for
// the work done.
func (s *speech) allowedQuantity(it *variance.ItemRow) costing.Quantity {
	for i := range s.h.Stages {
		if st := &s.h.Stages[i]; st.Stage.Key == s.f.Stage.Key {
			return AllowedQuantity(it, st.Progress)
		}
	}
	return 0
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
		if st := &s.h.Stages[i]; worst == nil || st.Split[t] > worst.Split[t] {
			worst = st
		}
	}
	if worst == nil || worst.Split[t] <= 0 {
		return s
	}
	return s.text(", most in ").link(worst.Stage.Name, &Target{Hull: s.h.Hull.Key, Stage: worst.Stage.Key}).
		text(" (" + s.cash(worst.Split[t]) + ")")
}
