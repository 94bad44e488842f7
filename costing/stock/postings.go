package stock

import "hulltally/costing"

// Postings lists the double entries of a charge.
func Postings(y *costing.Yard, ch *Charge) ([]costing.Posting, error) {
	return AppendPostings(nil, y, ch)
}

// AppendPostings is Postings into a list that may be used again.
func AppendPostings(ps []costing.Posting, y *costing.Yard, ch *Charge) ([]costing.Posting, error) {
	p := costing.Posting{
		Source: ch.Source, Date: ch.Date, Element: costing.Material, Detail: ch.Item,
		Debit: costing.WorkInProgress, Credit: costing.Stock,
		Quantity: ch.Drawn, Net: ch.Net, Waste: ch.Wasted, Amount: ch.Amount,
	}
	switch ch.Kind {
	case Receipt:
		if y.Lots[ch.Lot].Parent != "" {
			return ps, nil // it was stock before
		}
		p.Debit, p.Credit, p.Quantity = costing.Stock, costing.Creditors, ch.Quantity
		return append(ps, p), nil
	case Cut:
		return ps, nil // from stock to stock: no account moves
	case Scrap:
		p.Debit = costing.StockLosses
		return append(ps, p), nil
	case Difference:
		if len(ch.Shares) > 0 {
			return trueUp(ps, y, ch, p)
		}
		if ch.Drawn == 0 && ch.Amount == 0 {
			return ps, nil
		}
		p.Debit = costing.StockDifferences
		return append(ps, p), nil
	}
	return charged(ps, y.Jobs[ch.Job], p)
}

func trueUp(ps []costing.Posting, y *costing.Yard, ch *Charge, p costing.Posting) ([]costing.Posting, error) {
	for _, s := range ch.Shares {
		p.Quantity, p.Amount = s.Quantity, s.Amount
		var err error
		if ps, err = charged(ps, y.Jobs[s.Job], p); err != nil {
			return nil, err
		}
	}
	return ps, nil
}

func charged(ps []costing.Posting, job *costing.Job, p costing.Posting) ([]costing.Posting, error) {
	p.Stage, p.Purpose = job.Stage, job.Purpose
	return costing.ShareOut(ps, job, &p)
}
