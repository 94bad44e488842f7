package models

import (
	"errors"
	"slices"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/revise"
)

// checkBaselines keeps what was signed: the baseline itself, the contract, and
// the estimate lines of the hull that no change order names. Baselines that come
// with the load freeze nothing yet.
func (l *loading) checkBaselines() error {
	s := sheetFor(l, baselinesFile)
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		if before := stored[row.key]; before != nil && !slices.Equal(s.cellsOf(before), row.cells) {
			s.refuse(l, row, "hull", "%s was signed on revision %d on %s: enter what was agreed since as a change order", before.Hull, before.Revision, before.Frozen)
			continue
		}
		head, err := sheetFor(l, revisionsFile).find(l, joined([]string{row.row.Hull, strconv.Itoa(row.row.Revision)}))
		if err != nil {
			return err
		}
		if head == nil && !sheetFor(l, revisionsFile).broken {
			s.refuse(l, row, "revision", "there is no revision %d of %s: add it to %s or correct the cell", row.row.Revision, row.row.Hull, revisionsFile.name())
		}
	}
	if len(stored) == 0 {
		return nil
	}
	if err := l.checkSignedHulls(stored); err != nil {
		return err
	}
	return l.checkSignedLines(stored)
}

func (l *loading) checkSignedHulls(frozen map[string]*BaselineRow) error {
	s := sheetFor(l, hullsFile)
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	for _, row := range s.rows {
		before, base := stored[row.key], frozen[row.row.Hull]
		if row.bad || base == nil || before == nil {
			continue
		}
		for column, same := range map[string]bool{
			"price": row.row.Price == before.Price, "price_currency": row.row.PriceCurrency == before.PriceCurrency,
			"price_rate": row.row.PriceRate == before.PriceRate, "signed": row.row.Signed == before.Signed,
		} {
			if !same {
				s.refuse(l, row, column, "the contract of %s was frozen at signing on %s: put it back, and enter what was agreed since as a change order", base.Hull, base.Frozen)
			}
		}
	}
	return nil
}

func (l *loading) checkSignedLines(frozen map[string]*BaselineRow) error {
	s := sheetFor(l, estimateFile)
	if len(s.rows) == 0 {
		return nil
	}
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	for _, row := range s.rows {
		before := stored[row.key]
		if row.bad || row.row.Change != "" || before != nil && slices.Equal(s.cellsOf(before), row.cells) {
			continue
		}
		job, err := sheetFor(l, jobsFile).find(l, row.row.Job)
		if err != nil {
			return err
		}
		if job == nil || job.Change != "" || costing.Purpose(job.Purpose).Apart() && before == nil {
			continue // rework that turns up later may be estimated later
		}
		shares, err := job.hulls()
		if err != nil {
			return err
		}
		for _, share := range shares {
			if base := frozen[share.Hull]; base != nil {
				s.refuse(l, row, "job", "the estimate of %s was frozen at signing on %s as revision %d: "+
					"put the line back, or enter a change order in %s and name it in the column change", base.Hull, base.Frozen, base.Revision, changesFile.name())
				break
			}
		}
	}
	return nil
}

// keepBaselines refuses a load after which a signed estimate would come to
// something else, whichever file did it: a job moved to another stage, a
// stage's absorption rate of old.
func (l *loading) keepBaselines() error {
	ch := l.changes
	if !touched[EstimateRow](ch) && !touched[JobRow](ch) && !touched[OverheadRow](ch) && !touched[BaselineRow](ch) &&
		!changed[HullRow](ch) {
		return nil
	}
	rows, err := baselinesFile.all(l.ctx, l.tx)
	if err != nil || len(rows) == 0 {
		return err
	}
	snap, err := l.tx.LoadedSnapshot(l.ctx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		cost, err := BaselineCost(snap.Yard, r.Hull)
		if err != nil {
			return err
		}
		if was := r.Cost; was != cost {
			l.problems.add(baselinesFile.name(), 0, "cost", "the estimate of %s was frozen at signing on %s at %s and would become %s: "+
				"let new rates begin after that day, leave its jobs where they are, and enter what was agreed since as a change order",
				r.Hull, r.Frozen, costing.FormatDecimal(int64(was)), costing.FormatDecimal(int64(cost)))
		}
	}
	return l.problems.errOrNil()
}

// errUnits cannot happen: a currency has at most four minor digits.
var errUnits = errors.New("an amount is too large to be kept")

// BaselineCost is what a hull's estimate comes to without any change order, and
// without rework, which may be estimated when it turns up.
func BaselineCost(y *costing.Yard, hull string) (Decimal, error) {
	r := revise.Of(y, hull, 0, false)
	r.Lines = slices.DeleteFunc(r.Lines, func(l revise.Line) bool { return l.Purpose.Apart() })
	p, err := revise.Price(y, r)
	if err != nil {
		return 0, err
	}
	return decimalOf(y.Currency, p.Estimate)
}

// decimalOf is money as a decimal of a yard file.
func decimalOf(c costing.Currency, m costing.Money) (Decimal, error) {
	v, err := costing.MulRound(int64(m), costing.Million, c.Scale())
	if err != nil {
		return 0, errors.Join(errUnits, err)
	}
	return Decimal(v), nil
}
