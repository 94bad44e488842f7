package models

import (
	"context"
	"strconv"

	"hulltally/costing"
)

// TieSignatureRow is a row of tie_signatures.csv: a difference of a tie that
// somebody signed for, in currency units or whole seconds.
type TieSignatureRow struct {
	Period     string          `gorm:"primaryKey" csv:"period,key,is=period"`
	Tie        string          `gorm:"primaryKey" csv:"tie,key"`
	At         costing.Instant `gorm:"column:at_ms;primaryKey;autoIncrement:false" csv:"at,key"`
	Difference Decimal         `csv:"difference"`
	Who        string          `csv:"who"`
	Why        string          `csv:"why"`
}

func (r *TieSignatureRow) check(bad func(column, reason string)) {
	switch r.Tie {
	case "ledger", "paid cost", "stock", "work in progress":
	case "paid time":
		if r.Difference%million != 0 {
			bad("difference", "is of time: give whole seconds")
		}
	default:
		bad("tie", "is no tie: take one of ledger, paid cost, paid time, stock, work in progress")
	}
}

// whole is the difference in seconds or minor units.
func (r *TieSignatureRow) whole(c costing.Currency, seconds bool) (int64, error) {
	if seconds {
		return int64(r.Difference) / million, nil
	}
	m, err := c.FromDecimal(int64(r.Difference))
	return int64(m), err
}

var tieSignaturesFile = newFile[TieSignatureRow]("tie_signatures")

// OverheadActualRow is a row of overhead_actuals.csv: what overhead really cost
// in a month, by account of the yard's ledger. Time on indirect codes and
// overtime premium come from the floor and aren't entered.
type OverheadActualRow struct {
	Period   string         `gorm:"primaryKey" csv:"period,key,is=period"`
	Account  string         `gorm:"primaryKey" csv:"account,key"`
	Amount   Decimal        `csv:"amount"`
	Variable *costing.Share `csv:"variable,opt,nonneg,max=1"` // the share that moves with hours
}

// OverheadBudgetRow is a row of overhead_budget.csv: what a year's absorption
// rates were made from.
type OverheadBudgetRow struct {
	Year     string           `gorm:"primaryKey" csv:"year,key,is=year"`
	Account  string           `gorm:"primaryKey" csv:"account,key"`
	Amount   Decimal          `csv:"amount"`
	Variable *costing.Share   `csv:"variable,opt,nonneg,max=1"`
	Hours    costing.Quantity `csv:"hours,opt,nonneg"` // of direct labour the year was planned with; on one row
}

// UninstalledRow is a row of uninstalled.csv: goods of a hull that tell nothing
// of its progress until they are installed, such as engines. It names a line of
// bought.csv, which may be yet to come.
type UninstalledRow struct {
	Document    string  `gorm:"primaryKey" csv:"document,key"`
	Hull        string  `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Stage       string  `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	Description string  `gorm:"primaryKey" csv:"description,key"`
	Expected    Decimal `csv:"expected,nonneg"` // what they will cost, base currency
	Installed   Day     `csv:"installed,opt"`
}

// HandoverRow is a row of handovers.csv: a hull handed over to its owner.
type HandoverRow struct {
	Hull string `gorm:"primaryKey" csv:"hull,key,ref=hulls"`
	Date Day    `csv:"date"`
	Who  string `csv:"who"`
}

// AccountRow is a row of accounts.csv: what one of the engine's accounts is
// called in the yard's own ledger.
type AccountRow struct {
	Account string `gorm:"primaryKey" csv:"account,key"`
	Code    string `csv:"code"`
	Name    string `csv:"name"`
}

var (
	overheadActualsFile = newFile[OverheadActualRow]("overhead_actuals")
	overheadBudgetFile  = newFile[OverheadBudgetRow]("overhead_budget")
	uninstalledFile     = newFile[UninstalledRow]("uninstalled")
	handoversFile       = newFile[HandoverRow]("handovers")
	accountsFile        = newFile[AccountRow]("accounts")
)

func yardMonthEnd(ctx context.Context, tx *Tx, y *costing.Yard) error {
	if err := each(ctx, tx, overheadActualsFile, func(r *OverheadActualRow) (err error) {
		a := costing.OverheadActual{Account: r.Account, Variable: orZero(r.Variable)}
		if a.Period, err = costing.ParsePeriod(r.Period); err != nil {
			return err
		}
		a.Amount, err = y.Currency.FromDecimal(int64(r.Amount))
		y.OverheadActuals = append(y.OverheadActuals, a)
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, overheadBudgetFile, func(r *OverheadBudgetRow) error {
		year, err := strconv.Atoi(r.Year)
		if err != nil {
			return err
		}
		amount, err := y.Currency.FromDecimal(int64(r.Amount))
		y.OverheadBudget = append(y.OverheadBudget, costing.OverheadBudget{Year: year, Account: r.Account, Amount: amount, Variable: orZero(r.Variable), Hours: r.Hours})
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, uninstalledFile, func(r *UninstalledRow) (err error) {
		u := costing.Uninstalled{Document: r.Document, Hull: r.Hull, Stage: r.Stage, Description: r.Description}
		if u.Installed, err = r.Installed.optional(); err != nil {
			return err
		}
		u.Expected, err = y.Currency.FromDecimal(int64(r.Expected))
		y.Uninstalled = append(y.Uninstalled, u)
		return err
	}); err != nil {
		return err
	}
	if err := each(ctx, tx, handoversFile, func(r *HandoverRow) error {
		day, err := r.Date.Date()
		y.Handovers[r.Hull] = day
		return err
	}); err != nil {
		return err
	}
	return each(ctx, tx, accountsFile, func(r *AccountRow) error {
		y.Accounts[costing.Account(r.Account)] = costing.LedgerAccount{Code: r.Code, Name: r.Name}
		return nil
	})
}
