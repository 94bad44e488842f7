// Package month works out what a month end says of each hull: cost, progress
// by cost, revenue, what was billed, and a provision where the contract will
// lose. It follows the input method of IFRS 15 (paragraphs B18–B19). Whether a
// contract meets paragraph 35, and so whether any of this applies, is for the
// yard's accountant.
package month

import (
	"math/big"

	"hulltally/costing"
)

// Contract is what is known of a hull at one moment.
type Contract struct {
	Price      costing.Money // with agreed changes
	Cost       costing.Money // to date
	ToComplete costing.Money
	Billed     costing.Money
	// Abnormal is cost to date that says nothing of progress: abnormal waste
	// (B19(a)). It stays a cost of the contract.
	Abnormal costing.Money
	// Uninstalled is the part of the cost to date that was spent on goods
	// delivered but not installed, and UninstalledTotal what such goods will
	// cost in all: revenue equals their cost, at no margin (B19(b)).
	Uninstalled, UninstalledTotal costing.Money
}

// Standing is what the books say of a contract at one moment.
type Standing struct {
	Progress  *big.Rat // by cost
	Revenue   costing.Money
	Profit    costing.Money // revenue − cost, before the provision
	Provision costing.Money // for the loss still to come
	Asset     costing.Money // revenue not yet billed; below nought a liability
}

// Standing works a contract's standing out. The provision is the part of the
// expected loss that cost to date has not shown yet.
func (c Contract) Standing() (Standing, error) {
	s := Standing{Progress: new(big.Rat)}
	counted := c.Cost - c.Abnormal - c.Uninstalled
	total := c.Cost + c.ToComplete - c.Abnormal - c.UninstalledTotal
	if total > 0 && counted > 0 {
		s.Progress = big.NewRat(int64(counted), int64(total))
		if s.Progress.Cmp(big.NewRat(1, 1)) > 0 {
			s.Progress.SetInt64(1)
		}
	}
	earned := new(big.Rat).SetInt64(int64(c.Price - c.UninstalledTotal))
	revenue, err := costing.RoundRat(earned.Mul(earned, s.Progress))
	if err != nil {
		return s, err
	}
	s.Revenue = costing.Money(revenue) + c.Uninstalled
	s.Profit = s.Revenue - c.Cost
	s.Asset = s.Revenue - c.Billed
	if margin := c.Price - c.Cost - c.ToComplete; margin < 0 {
		s.Provision = max(0, s.Profit-margin)
	}
	return s, nil
}

// AtHandover is a contract's standing where revenue is shown at one point in
// time, the handover (IFRS 15 paragraph 38): until then cost is work in
// progress, and only a loss that is expected is shown.
func (c Contract) AtHandover(done bool) (Standing, error) {
	s, err := c.Standing()
	if err != nil {
		return s, err
	}
	s.Revenue, s.Profit = 0, 0
	if done {
		s.Revenue, s.Profit = c.Price, c.Price-c.Cost
	}
	s.Provision = 0
	if margin := c.Price - c.Cost - c.ToComplete; margin < 0 {
		s.Provision = max(0, s.Profit-margin)
	}
	s.Asset = s.Revenue - c.Billed
	return s, nil
}
