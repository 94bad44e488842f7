package handlers

import (
	"fmt"
	"strconv"

	"hulltally/costing"
)

// The accounts that only the month's end books on.
const (
	revenueAccount    costing.Account = "revenue"
	salesCostAccount  costing.Account = "cost of sales"
	contractsAccount  costing.Account = "contract balances"
	receivableAccount costing.Account = "receivables"
	lossAccount       costing.Account = "loss expected on contracts"
	provisionAccount  costing.Account = "provision for losses"
)

// journalTable is the month's double entries, two lines each: what the engine
// booked, the adjustments of closed months, and what the month's end adds for
// contracts. Accounts bear the codes and names of accounts.csv.
func journalTable(a *asked) (*Table, error) {
	t := a.table(text("entry", "Entry"), text("date", "Date"), text("account", "Account"), text("code", "Code"), text("name", "Name in the ledger"),
		text("hull", "Hull"), text("stage", "Stage"), text("text", "Text"), money("debit", "Debit"), money("credit", "Credit"))
	period := a.Period
	if period == 0 {
		period = a.figures.Day.Period()
	}
	j := &journal{a: a, t: t, day: min(period.Next().First()-1, a.figures.Day)}
	entries, err := a.tx.Journal(a.ctx, a.figures, period)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		about := "booked in " + period.String()
		if e.Adjusts {
			about = "adjustment of closed months"
		}
		j.book(e.Debit, e.Credit, e.Hull, e.Stage, about, e.Amount)
	}
	if err := j.contracts(period); err != nil {
		return nil, err
	}
	if j.debits != j.credits {
		return nil, fmt.Errorf("the journal of %s does not balance: %d and %d", period, j.debits, j.credits)
	}
	return t, nil
}

type journal struct {
	a               *asked
	t               *Table
	day             costing.Date
	n               int
	debits, credits costing.Money
}

// book writes an entry; one below nought changes sides.
func (j *journal) book(debit, credit costing.Account, hull, stage, about string, m costing.Money) {
	if m == 0 {
		return
	}
	if m < 0 {
		debit, credit, m = credit, debit, -m
	}
	j.n++
	line := func(account costing.Account, d, c any) {
		known := j.a.figures.Yard.Accounts[account]
		name := known.Name
		if known.Code == "" {
			name = string(account)
		}
		j.t.Rows = append(j.t.Rows, []any{strconv.Itoa(j.n), j.day.String(), string(account), known.Code, name, hull, stage, about, d, c})
	}
	line(debit, j.a.money(m), j.a.money(0))
	line(credit, j.a.money(0), j.a.money(m))
	j.debits, j.credits = j.debits+m, j.credits+m
}

// contracts books what the month's end adds: billing, revenue, the cost that
// became cost of sales, and the provision, each as what changed in the month.
func (j *journal) contracts(period costing.Period) error {
	cost, err := j.a.figures.Cost()
	if err != nil {
		return err
	}
	now, err := standings(cost)
	if err != nil {
		return err
	}
	then, err := j.a.standingsBefore(period)
	if err != nil {
		return err
	}
	for i := range cost.Margins {
		hull := cost.Margins[i].Hull
		s, was := now[hull], then[hull]
		j.book(receivableAccount, contractsAccount, hull, "", "billed", s.billed-was.billed)
		j.book(contractsAccount, revenueAccount, hull, "", "revenue", s.Revenue-was.Revenue)
		j.book(salesCostAccount, costing.WorkInProgress, hull, "", "cost of sales", s.expensed-was.expensed)
		j.book(lossAccount, provisionAccount, hull, "", "expected loss", s.Provision-was.Provision)
	}
	return nil
}
