package costing

import (
	"fmt"
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
	step := total - s.Posted
	s.Posted = total
	return Money(step), nil
}
