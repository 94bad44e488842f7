package costing

import (
	"fmt"
	"math/big"
	"strings"
)

// Account is an account of the engine's own chart. The yard maps it to its
// books when the journal goes out.
type Account string

// The accounts. An indirect code has an overhead account of its own.
const (
	WorkInProgress   Account = "work in progress"
	WagesPayable     Account = "wages payable"
	OnCostsPayable   Account = "on-costs payable"
	OvertimePremium  Account = "overhead: overtime premium"
	OverheadAbsorbed Account = "overhead absorbed"
	Stock            Account = "stock"
	Creditors        Account = "creditors"
	StockDifferences Account = "stock differences"
	StockLosses      Account = "stock losses"

	overheadPrefix = "overhead: "
)

// OverheadOf is the overhead account of an indirect code.
func OverheadOf(indirect string) Account { return Account(overheadPrefix + "code " + indirect) }

// IsOverhead reports whether the account gathers overhead.
func (a Account) IsOverhead() bool { return strings.HasPrefix(string(a), overheadPrefix) }

// Posting is one double entry: Amount goes to Debit and comes from Credit.
type Posting struct {
	Source  string // what caused it: the id of a read, correction or document
	Date    Date
	Debit   Account
	Credit  Account
	Hull    string
	Stage   string
	Job     string
	Element Element
	Purpose Purpose
	Detail  string // grade of labour, item of material, words of a purchase
	Seconds int64
	// Quantity is what left the stock, Net what was meant for the part, Waste
	// what was weighed as lost; all in the item's stock unit.
	Quantity, Net, Waste Quantity
	Amount               Money
}

// Period is the month of the posting.
func (p *Posting) Period() Period { return p.Date.Period() }

// CheckBalance reports an error unless every posting names both sides.
func CheckBalance(ps []Posting) error {
	for i := range ps {
		if ps[i].Debit == "" || ps[i].Credit == "" || ps[i].Debit == ps[i].Credit {
			return fmt.Errorf("posting %d of %s has no two sides", i, ps[i].Source)
		}
	}
	return nil
}

// Series rounds an ordered series of exact amounts with one denominator:
// step k is round(c_k) − round(c_k−1), so that the steps always add up to the
// rounded whole.
type Series struct {
	Sum    Wide  `json:"s,omitzero"`
	Posted int64 `json:"p,omitempty"`
}

// Step adds an exact amount of num/den and gives the rounded step.
func (s *Series) Step(num Wide, den int64) (Money, error) {
	s.Sum = s.Sum.Add(num)
	total, err := s.Sum.Round(den)
	if err != nil {
		return 0, err
	}
	return s.post(total)
}

// StepBig is Step for a denominator beyond 64 bits.
func (s *Series) StepBig(num Wide, den *big.Int) (Money, error) {
	s.Sum = s.Sum.Add(num)
	total, err := RoundRat(new(big.Rat).SetFrac(s.Sum.Big(), den))
	if err != nil {
		return 0, err
	}
	return s.post(total)
}

// post moves what was posted to a new rounded total and gives the step.
func (s *Series) post(total int64) (Money, error) {
	step, err := addChecked(total, -s.Posted)
	s.Posted = total
	return Money(step), err
}

// ShareOut appends a posting of a job to ps, one for each hull that shares the
// job: seconds, quantities and amount each divide by the largest remainder.
func ShareOut(ps []Posting, job *Job, p *Posting) ([]Posting, error) {
	if len(job.Shares) == 1 {
		ps = append(ps, *p)
		e := &ps[len(ps)-1]
		e.Job, e.Hull = job.Key, job.Shares[0].Hull
		return ps, nil
	}
	weights := job.Weights()
	var parts [5][]int64
	for i, total := range [5]int64{p.Seconds, int64(p.Quantity), int64(p.Net), int64(p.Waste), int64(p.Amount)} {
		var err error
		if parts[i], err = Apportion(total, weights); err != nil {
			return nil, err
		}
	}
	for i, s := range job.Shares {
		e := *p
		e.Job, e.Hull, e.Seconds, e.Amount = job.Key, s.Hull, parts[0][i], Money(parts[4][i])
		e.Quantity, e.Net, e.Waste = Quantity(parts[1][i]), Quantity(parts[2][i]), Quantity(parts[3][i])
		if e.Seconds != 0 || e.Quantity != 0 || e.Net != 0 || e.Waste != 0 || e.Amount != 0 {
			ps = append(ps, e)
		}
	}
	return ps, nil
}
