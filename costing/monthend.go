package costing

// OverheadActual is what overhead cost in a month on one account of the yard's
// ledger.
type OverheadActual struct {
	Period   Period
	Account  string
	Amount   Money
	Variable Share // the share that moves with hours
}

// OverheadBudget is a year's plan of one overhead account.
type OverheadBudget struct {
	Year     int
	Account  string
	Amount   Money
	Variable Share
	Hours    Quantity // of direct labour, on one of the year's rows
}

// Uninstalled is goods of a hull that tell nothing of its progress until they
// are installed (IFRS 15 B19(b)).
type Uninstalled struct {
	Document, Hull, Stage, Description string
	Expected                           Money
	Installed                          *Date
}

// LedgerAccount is an account of the yard's own ledger.
type LedgerAccount struct{ Code, Name string }

// RevenueMethod says when a contract's revenue is shown.
type RevenueMethod string

// Over time, by cost (IFRS 15 paragraphs 35 to 45, B18 and B19), or at one
// point, the handover (paragraph 38).
const (
	OverTime   RevenueMethod = "over_time"
	AtHandover RevenueMethod = "at_handover"
)
