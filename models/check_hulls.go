package models

import (
	"slices"

	"hulltally/costing"
)

// checkHulls: a contract in the yard's own currency is worth what it says.
func (l *loading) checkHulls() error {
	s := sheetFor(l, hullsFile)
	for _, row := range s.rows {
		h := &row.row
		switch {
		case row.bad || l.base.Code == "":
		case h.PriceCurrency == l.base.Code && h.PriceRate != million:
			s.refuse(l, row, "price_rate", "is not 1, though the price is in %s: correct one of them", l.base.Code)
		default:
			in, err := costing.MulRound(int64(h.Price), int64(h.PriceRate), million)
			if err != nil || in > maxAmount {
				s.refuse(l, row, "price", "comes to more than %s %s", costing.FormatDecimal(maxAmount), l.base.Code)
			}
		}
	}
	return nil
}

// checkJobs looks at a job's shares and its change order.
func (l *loading) checkJobs() error {
	s := sheetFor(l, jobsFile)
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		shares, err := row.row.hulls()
		if err != nil {
			return err
		}
		for _, share := range shares {
			known, err := l.knows([]string{hullsFile.stem, toolingFile.stem}, share.Hull)
			if err != nil {
				return err
			}
			if !known {
				s.refuse(l, row, "shares", "there is no hull %s: add it to %s or correct the cell", share.Hull, hullsFile.name())
			}
		}
		if !row.bad && row.row.Change != "" {
			if err := l.checkChange(shares, row.row.Change, func(reason string, args ...any) {
				s.refuse(l, row, "change", reason, args...)
			}); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkChange: a change order belongs to a hull the job is for.
func (l *loading) checkChange(shares []costing.ShareOf, change string, refuse func(string, ...any)) error {
	c, err := sheetFor(l, changesFile).find(l, change)
	if err != nil || c == nil {
		return err
	}
	if !slices.ContainsFunc(shares, func(s costing.ShareOf) bool { return s.Hull == c.Hull }) {
		refuse("%s is a change of hull %s, which the job is not for: correct one of them", change, c.Hull)
	}
	return nil
}

// checkEstimate: material lines name items, lines of a change one of the job's hulls.
func (l *loading) checkEstimate() error {
	s := sheetFor(l, estimateFile)
	for _, row := range s.rows {
		r := &row.row
		if row.bad {
			continue
		}
		if r.Element == string(costing.Material) {
			known, err := l.sheets[itemsFile.stem].hasFirst(l, r.Key)
			if err != nil {
				return err
			}
			if !known {
				s.refuse(l, row, "key", "there is no item %s: add it to %s or correct the cell", r.Key, itemsFile.name())
			}
		}
		if r.Change == "" {
			continue
		}
		job, err := sheetFor(l, jobsFile).find(l, r.Job)
		if err != nil {
			return err
		}
		if job == nil {
			continue // said where the job stands
		}
		shares, err := job.hulls()
		if err != nil {
			return err
		}
		if err := l.checkChange(shares, r.Change, func(reason string, args ...any) {
			s.refuse(l, row, "change", reason, args...)
		}); err != nil {
			return err
		}
	}
	return nil
}
