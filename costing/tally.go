package costing

// Tally adds many postings up, faster than Totals do one by one: postings that
// fall under the same heads share one slot, and the slots met last are found
// without a map. The totals are made of the slots at the end.
type Tally struct {
	slots  map[heads]*slot
	recent [1 << recentBits]*slot
	month  month
}

const recentBits = 13

// heads are all that totals keep apart.
type heads struct {
	hull, job, detail, stage string
	debit, credit            Account
	element                  Element
	purpose                  Purpose
	period                   Period
}

type slot struct {
	heads
	sums  Sums
	moved bool // an amount went through the accounts, though it may have come back
}

// month is the period of the date last asked for.
type month struct {
	date   Date
	period Period
}

// NewTally is an empty tally.
func NewTally() *Tally { return &Tally{slots: map[heads]*slot{}} }

// Add counts a posting in.
func (t *Tally) Add(p *Posting) {
	if t.month.date != p.Date || t.month.period == 0 {
		t.month = month{p.Date, p.Period()}
	}
	at := (mark(p.Job)<<24 + mark(p.Hull)<<12 + mark(string(p.Credit))<<6 + mark(p.Detail) + uint64(t.month.period)<<18) * 0x9e3779b97f4a7c15 >> (64 - recentBits)
	s := t.recent[at]
	if s == nil || !s.holds(p, t.month.period) {
		s = t.slot(p)
		t.recent[at] = s
	}
	s.sums.Seconds += p.Seconds
	s.sums.Quantity += p.Quantity
	s.sums.Net += p.Net
	s.sums.Waste += p.Waste
	s.sums.Amount += p.Amount
	s.moved = s.moved || p.Amount != 0
}

// mark tells most texts apart by their length and last letters.
func mark(s string) uint64 {
	n := len(s)
	if n < 2 {
		return uint64(n)
	}
	return uint64(n) + 31*uint64(s[n-1]) + 5*uint64(s[n-2])
}

func (h *heads) holds(p *Posting, period Period) bool {
	return h.period == period && h.job == p.Job && h.credit == p.Credit && h.hull == p.Hull && h.debit == p.Debit &&
		h.detail == p.Detail && h.element == p.Element && h.stage == p.Stage && h.purpose == p.Purpose
}

func (t *Tally) slot(p *Posting) *slot {
	h := heads{p.Hull, p.Job, p.Detail, p.Stage, p.Debit, p.Credit, p.Element, p.Purpose, t.month.period}
	s := t.slots[h]
	if s == nil {
		s = &slot{heads: h}
		t.slots[h] = s
	}
	return s
}

// Totals are the totals of all that was added.
func (t *Tally) Totals() *Totals {
	totals := NewTotals()
	for _, s := range t.slots {
		if s.moved {
			totals.Ledger[Ledger{s.debit, s.period}] += s.sums.Amount
			totals.Ledger[Ledger{s.credit, s.period}] -= s.sums.Amount
		}
		totals.under(&s.heads, s.sums)
	}
	return totals
}
