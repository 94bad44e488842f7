package models

import (
	"slices"

	"hulltally/costing"
)

// foreigner is a row with an amount in a currency of its own.
type foreigner interface {
	foreign() (amount int64, currency string, fx *costing.Price)
}

// checkForeign: an amount in another currency has a rate, its own or that of
// its day in fx.csv.
func (l *loading) checkForeign() error {
	if l.base.Code == "" || !l.anyPresent(fxFile, lotsFile, invoicesFile, landedFile, boughtFile, paymentsFile) {
		return nil
	}
	rates, err := l.rates()
	if err != nil {
		return err
	}
	f := foreignCheck{l, rates}
	foreignRows(f, sheetFor(l, lotsFile), "price", func(r *LotRow) (costing.Date, error) { return l.dayOf(r.Received) })
	foreignRows(f, sheetFor(l, invoicesFile), "price", l.dayOfInvoice)
	foreignRows(f, sheetFor(l, landedFile), "amount", l.dayOfLanded)
	foreignRows(f, sheetFor(l, boughtFile), "amount", func(r *BoughtRow) (costing.Date, error) { return r.Date.Date() })
	foreignRows(f, sheetFor(l, paymentsFile), "amount", func(r *PaymentRow) (costing.Date, error) { return r.Date.Date() })
	return nil
}

// anyPresent reports whether one of the files was given.
func (l *loading) anyPresent(files ...yardFile) bool {
	return slices.ContainsFunc(files, func(f yardFile) bool { return l.present[f.name()] })
}

// rates are the spot rates given and stored; given ones count.
func (l *loading) rates() (map[string]costing.Dated[costing.Price], error) {
	s := sheetFor(l, fxFile)
	stored, err := s.storedRows(l)
	if err != nil {
		return nil, err
	}
	rates := map[string]costing.Dated[costing.Price]{}
	add := func(r *FXRow) error {
		dated := rates[r.Currency]
		err := addDated(&dated, r.From, r.Rate)
		rates[r.Currency] = dated
		return err
	}
	for _, r := range stored {
		if err := add(r); err != nil {
			return nil, err
		}
	}
	for _, row := range s.rows {
		if row.row.Currency == l.base.Code {
			s.refuse(l, row, "currency", "is the yard's own, which needs no rate: take the row away")
		}
		if !row.bad {
			if err := add(&row.row); err != nil {
				return nil, err
			}
		}
	}
	return rates, nil
}

// dayOf is the local day of an instant.
func (l *loading) dayOf(at costing.Instant) (costing.Date, error) {
	row, err := sheetFor(l, policyFile).find(l, policyZone+keySeparator)
	if err != nil || row == nil {
		return 0, err
	}
	zone, err := parseZone(row.Value)
	if err != nil {
		return 0, nil // said where it stands
	}
	return costing.DateOf(at, zone), nil
}

func (l *loading) dayOfInvoice(r *InvoiceRow) (costing.Date, error) {
	lot, err := sheetFor(l, lotsFile).find(l, r.Lot)
	if err != nil || lot == nil {
		return 0, err
	}
	return l.dayOf(lot.Received)
}

func (l *loading) dayOfLanded(r *LandedRow) (costing.Date, error) {
	d, err := sheetFor(l, deliveriesFile).find(l, r.Delivery)
	if err != nil || d == nil {
		return 0, err
	}
	return l.dayOf(d.Received)
}

type foreignCheck struct {
	l     *loading
	rates map[string]costing.Dated[costing.Price]
}

func foreignRows[R any](f foreignCheck, s *sheetOf[R], column string, dayOf func(*R) (costing.Date, error)) {
	l := f.l
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		amount, currency, own := any(&row.row).(foreigner).foreign()
		fx := rate(own)
		switch foreign := currency != "" && currency != l.base.Code; {
		case foreign && own == nil:
			day, err := dayOf(&row.row)
			spot, known := f.rates[currency].On(day)
			if err != nil || !known && !l.sameAsLot(&row.row, currency) {
				s.refuse(l, row, "fx", "is blank: give %s per %s, or a rate of that day in %s", l.base.Code, currency, fxFile.name())
				continue
			}
			fx = max(spot, 1)
		case !foreign && own != nil && *own != million:
			s.refuse(l, row, "fx", "is not 1, though the amount is in %s: leave it blank or name the currency", l.base.Code)
			continue
		}
		in, err := costing.MulRound(amount, int64(fx), million)
		if err != nil || in > maxAmount || in < -maxAmount {
			s.refuse(l, row, column, "comes to more than %s %s", costing.FormatDecimal(maxAmount), l.base.Code)
		}
	}
}

// sameAsLot: an invoice in its lot's currency has the lot's rate.
func (l *loading) sameAsLot(row any, currency string) bool {
	r, is := row.(*InvoiceRow)
	if !is {
		return false
	}
	lot, err := sheetFor(l, lotsFile).find(l, r.Lot)
	return err == nil && lot != nil && lot.Currency == currency
}
