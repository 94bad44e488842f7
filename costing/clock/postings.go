package clock

import "hulltally/costing"

// Postings lists the double entries of a piece: base and on-cost to the job's
// work in progress or the indirect code's overhead account, the premium to
// `overtime premium` unless the job is a rush, overhead absorbed by the job. A
// shared job divides each amount and each second by its weights.
func Postings(y *costing.Yard, p *Piece) ([]costing.Posting, error) {
	ps := make([]costing.Posting, 0, 4)
	worker := y.Workers[p.Worker]
	common := costing.Posting{
		Source: p.Opened, Date: p.Date, Element: costing.Labour, Job: p.Job, Detail: worker.Grade,
	}
	job := y.Jobs[p.Job]
	if job == nil {
		return indirect(ps, common, p), nil
	}
	common.Stage, common.Purpose = job.Stage, job.Purpose
	add := func(debit, credit costing.Account, el costing.Element, seconds int64, amount costing.Money) error {
		if seconds == 0 && amount == 0 {
			return nil
		}
		e := common
		e.Debit, e.Credit, e.Element, e.Seconds, e.Amount = debit, credit, el, seconds, amount
		if el == costing.Overhead {
			e.Detail = ""
		}
		var err error
		ps, err = costing.ShareOut(ps, job, e)
		return err
	}
	wip := costing.WorkInProgress
	if err := add(wip, costing.WagesPayable, costing.Labour, p.Seconds, p.Base); err != nil {
		return nil, err
	}
	if err := add(wip, costing.OnCostsPayable, costing.Labour, 0, p.OnCost); err != nil {
		return nil, err
	}
	if job.Rush {
		if err := add(wip, costing.WagesPayable, costing.Labour, 0, p.Premium); err != nil {
			return nil, err
		}
		if err := add(wip, costing.OnCostsPayable, costing.Labour, 0, p.PremiumOnCost); err != nil {
			return nil, err
		}
	} else {
		ps = premium(ps, common, p)
	}
	return ps, add(wip, costing.OverheadAbsorbed, costing.Overhead, 0, p.Overhead)
}

func indirect(ps []costing.Posting, common costing.Posting, p *Piece) []costing.Posting {
	base := common
	base.Debit, base.Credit = costing.OverheadOf(p.Indirect), costing.WagesPayable
	base.Seconds, base.Amount = p.Seconds, p.Base
	ps = append(ps, base)
	if p.OnCost != 0 {
		oc := common
		oc.Debit, oc.Credit, oc.Amount = base.Debit, costing.OnCostsPayable, p.OnCost
		ps = append(ps, oc)
	}
	return premium(ps, common, p)
}

// premium books overtime premium as overhead: which job happened to be worked
// on in the evening is no fault of that job.
func premium(ps []costing.Posting, common costing.Posting, p *Piece) []costing.Posting {
	common.Debit, common.Stage, common.Purpose, common.Job = costing.OvertimePremium, "", "", ""
	if p.Premium != 0 {
		e := common
		e.Credit, e.Amount = costing.WagesPayable, p.Premium
		ps = append(ps, e)
	}
	if p.PremiumOnCost != 0 {
		e := common
		e.Credit, e.Amount = costing.OnCostsPayable, p.PremiumOnCost
		ps = append(ps, e)
	}
	return ps
}
