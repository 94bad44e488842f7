package clock

import "hulltally/costing"

// Postings lists the double entries of a piece: base and on-cost to the job's
// work in progress or the indirect code's overhead account, the premium to
// `overtime premium` unless the job is a rush, overhead absorbed by the job. A
// shared job divides each amount and each second by its weights.
func Postings(y *costing.Yard, p *Piece) ([]costing.Posting, error) {
	return AppendPostings(make([]costing.Posting, 0, 4), y, p)
}

// AppendPostings is Postings into a list that may be used again.
func AppendPostings(ps []costing.Posting, y *costing.Yard, p *Piece) ([]costing.Posting, error) {
	worker, job := y.Workers[p.Worker], y.Jobs[p.Job]
	common := costing.Posting{
		Source: p.Opened, Date: p.Date, Element: costing.Labour, Job: p.Job, Detail: worker.Grade,
	}
	if job == nil {
		return indirect(ps, common, p), nil
	}
	common.Stage, common.Purpose = job.Stage, job.Purpose
	b := booking{ps: ps, job: job, common: common}
	b.charge(costing.WagesPayable, p.Seconds, p.Base)
	b.charge(costing.OnCostsPayable, 0, p.OnCost)
	if job.Rush {
		b.charge(costing.WagesPayable, 0, p.Premium)
		b.charge(costing.OnCostsPayable, 0, p.PremiumOnCost)
	} else {
		b.ps = premium(b.ps, common, p)
	}
	b.common.Element, b.common.Detail = costing.Overhead, ""
	b.charge(costing.OverheadAbsorbed, 0, p.Overhead)
	return b.ps, b.err
}

// booking charges a job part by part; the first error stays.
type booking struct {
	ps     []costing.Posting
	job    *costing.Job
	common costing.Posting
	err    error
}

func (b *booking) charge(credit costing.Account, seconds int64, amount costing.Money) {
	if seconds == 0 && amount == 0 || b.err != nil {
		return
	}
	e := &b.common
	e.Debit, e.Credit, e.Seconds, e.Amount = costing.WorkInProgress, credit, seconds, amount
	b.ps, b.err = costing.ShareOut(b.ps, b.job, e)
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
