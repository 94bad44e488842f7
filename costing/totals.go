package costing

// Cell names one kept total.
type Cell struct {
	Hull, Stage string
	Element     Element
	Purpose     Purpose
	Period      Period
}

// Fine names one kept total of detail: the grade of a job's labour, the item
// of a job's material.
type Fine struct {
	Hull, Job string
	Element   Element
	Detail    string
	Period    Period
}

// Ledger names one account in one month.
type Ledger struct {
	Account Account
	Period  Period
}

// Sums is what a cell adds up.
type Sums struct {
	Seconds              int64
	Quantity, Net, Waste Quantity
	Amount               Money
}

// IsZero reports whether every sum is nought.
func (s Sums) IsZero() bool { return s == Sums{} }

// Totals are the kept totals of postings. The totals of a set of postings do
// not depend on their order, and the difference of two sets is the difference
// of their totals: that is how totals are kept up to date.
type Totals struct {
	Cells  map[Cell]Sums
	Fine   map[Fine]Sums
	Ledger map[Ledger]Money // debits less credits
}

// NewTotals is a set of empty totals.
func NewTotals() *Totals {
	return &Totals{map[Cell]Sums{}, map[Fine]Sums{}, map[Ledger]Money{}}
}

// Add counts a posting in.
func (t *Totals) Add(p *Posting) { t.count(p, 1) }

// Take counts a posting out.
func (t *Totals) Take(p *Posting) { t.count(p, -1) }

func (t *Totals) count(p *Posting, sign int64) {
	h := heads{p.Hull, p.Job, p.Detail, p.Stage, p.Debit, p.Credit, p.Element, p.Purpose, p.Period()}
	q := Quantity(sign)
	s := Sums{sign * p.Seconds, q * p.Quantity, q * p.Net, q * p.Waste, Money(sign) * p.Amount}
	if s.Amount != 0 {
		t.Ledger[Ledger{h.debit, h.period}] += s.Amount
		t.Ledger[Ledger{h.credit, h.period}] -= s.Amount
	}
	t.under(&h, s)
}

// under counts sums in under a hull's heads.
func (t *Totals) under(h *heads, s Sums) {
	if h.hull == "" {
		return
	}
	cell := Cell{h.hull, h.stage, h.element, h.purpose, h.period}
	c := t.Cells[cell]
	c.Seconds += s.Seconds // quantities of unlike items do not add up
	c.Amount += s.Amount
	t.Cells[cell] = c
	if h.job == "" {
		return
	}
	fine := Fine{h.hull, h.job, h.element, h.detail, h.period}
	t.Fine[fine] = t.Fine[fine].Plus(s)
}

// Plus adds sum by sum.
func (s Sums) Plus(o Sums) Sums {
	return Sums{s.Seconds + o.Seconds, s.Quantity + o.Quantity, s.Net + o.Net, s.Waste + o.Waste, s.Amount + o.Amount}
}

// AddAll counts other totals in.
func (t *Totals) AddAll(o *Totals) {
	for k, s := range o.Cells {
		t.Cells[k] = t.Cells[k].Plus(s)
	}
	for k, s := range o.Fine {
		t.Fine[k] = t.Fine[k].Plus(s)
	}
	for k, m := range o.Ledger {
		t.Ledger[k] += m
	}
}
