package models

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"hulltally/costing"
)

// Closing is a month about to be closed, or as it would be.
type Closing struct {
	Period  costing.Period
	Figures *Figures
	Ties    []SignedTie
	// Refused lists why the month can't be closed; empty where it can.
	Refused []string
	// Look lists what a person should look at before: what is open,
	// provisional or flagged.
	Look   []string
	Lines  int // that would be frozen, or were
	Digest string
}

// SignedTie is a tie with what people have signed for.
type SignedTie struct {
	Tie
	Carried    int64 // signed with a month before, of a tie that balances over all time
	Signed     int64 // signed for this month
	Signatures []TieSignatureRow
}

// Open is the difference nobody has signed for.
func (t *SignedTie) Open() int64 { return t.Left - t.Right - t.Carried - t.Signed }

// CloseOptions say who closes a month and what else comes with it.
type CloseOptions struct {
	Now              costing.Instant
	Who, Why, Source string
	Signatures       []TieSignatureRow
	// Tables makes the tables that are signed with the close.
	Tables func(tx *Tx, c *Closing) ([]SignedTable, error)
}

// CloseMonth closes a month: it freezes what is booked in it, in one
// transaction with everything else that writes. Where a tie is off without a
// signature, or the month isn't the next, the error says so and nothing changed.
func (s *Store) CloseMonth(ctx context.Context, p costing.Period, o CloseOptions) (c *Closing, err error) {
	err = s.InTx(ctx, func(tx *Tx) (err error) {
		c, err = tx.closeMonth(ctx, p, o)
		return err
	})
	return c, err
}

// PreviewClose says what a close would do, and keeps nothing.
func (s *Store) PreviewClose(ctx context.Context, p costing.Period, now costing.Instant) (c *Closing, err error) {
	err = s.Read(ctx, func(tx *Tx) (err error) {
		c, err = tx.Closing(ctx, p, now)
		return err
	})
	return c, err
}

// Closing looks at a month as it would be closed.
func (tx *Tx) Closing(ctx context.Context, p costing.Period, now costing.Instant) (*Closing, error) {
	f, err := tx.MonthEnd(ctx, p, now)
	if err != nil {
		return nil, err
	}
	c := &Closing{Period: p, Figures: f}
	if c.Ties, err = tx.SignedTies(ctx, f, p); err != nil {
		return nil, err
	}
	if err := tx.refusals(ctx, c, now); err != nil {
		return nil, err
	}
	return c, tx.look(ctx, c)
}

func (tx *Tx) refusals(ctx context.Context, c *Closing, now costing.Instant) error {
	y := c.Figures.Yard
	if end := c.Period.Next().First().At(0, y.Zone); now < end {
		c.Refused = append(c.Refused, fmt.Sprintf("%s is not over: it ends with %s", c.Period, c.Period.Next().First()-1))
	}
	last := costing.Instant(0)
	if n := len(y.Closes); n > 0 {
		last = y.Closes[n-1].At
	}
	if _, reason := y.Closes.Refuses(costing.Close{Period: c.Period, At: max(now, last+1), Kind: costing.Closed}); reason != "" {
		c.Refused = append(c.Refused, reason)
	}
	if c.Figures.Closed == 0 {
		var first *int64
		err := tx.DB.WithContext(ctx).Raw("SELECT MIN(period) FROM postings").Row().Scan(&first)
		if err != nil {
			return err
		}
		switch {
		case first == nil:
			c.Refused = append(c.Refused, "nothing is booked yet: there is no month to close")
		case *first != int64(c.Period):
			c.Refused = append(c.Refused, fmt.Sprintf("the first month with anything booked in it is %s: close that first", costing.Period(*first)))
		}
	}
	for i := range c.Ties {
		t := &c.Ties[i]
		if t.Open() == 0 {
			continue
		}
		off := fmt.Sprintf("%d s", t.Open())
		if !t.Seconds {
			off = y.Currency.Format(costing.Money(t.Open())) + " " + y.Currency.Code
		}
		c.Refused = append(c.Refused, fmt.Sprintf("the tie of %s is off by %s: find out why, or sign the difference with a reason", t.Name, off))
	}
	return nil
}

func (tx *Tx) closeMonth(ctx context.Context, p costing.Period, o CloseOptions) (*Closing, error) {
	if len(o.Signatures) > 0 {
		if err := tx.sign(ctx, o); err != nil {
			return nil, err
		}
	}
	c, err := tx.Closing(ctx, p, o.Now)
	if err != nil {
		return nil, err
	}
	if len(c.Refused) > 0 {
		return nil, Errorf(Conflict, "%s is not closed: %s", p, strings.Join(c.Refused, "; "))
	}
	at := o.Now
	if n := len(c.Figures.Yard.Closes); n > 0 {
		at = max(at, c.Figures.Yard.Closes[n-1].At+1)
	}
	held, err := tx.freezeMonth(ctx, c, at)
	if err != nil {
		return nil, err
	}
	if o.Tables != nil {
		tables, err := o.Tables(tx, c)
		if err != nil {
			return nil, err
		}
		for i := range tables {
			rows, err := tables[i].rows(at)
			if err != nil {
				return nil, err
			}
			held.signed = append(held.signed, rows...)
		}
	}
	held.sort()
	c.Lines, c.Digest = len(held.lines), held.digest()
	rows := []any{CloseRow{Period: p.String(), At: at, Kind: string(costing.Closed), Who: o.Who, Why: o.Why, Digest: c.Digest}}
	files, err := FilesOf(rows...)
	if err != nil {
		return nil, err
	}
	if err := held.files(files); err != nil {
		return nil, err
	}
	_, err = tx.Enter(ctx, files, LoadOptions{Now: o.Now, Who: o.Who, Did: "closed", Subject: p.String(), Why: o.Why, Source: o.Source})
	return c, err
}

// freezeMonth gathers what a close of the month freezes: what is computed in it, the
// adjustments of months before it, and the accrual of what nobody has ended.
func (tx *Tx) freezeMonth(ctx context.Context, c *Closing, at costing.Instant) (*frozen, error) {
	f, held := c.Figures, &frozen{}
	add := func(kind string, p *costing.Posting) {
		held.lines = append(held.lines, frozenRow(at, len(held.lines)+1, kind, p))
	}
	err := tx.eachLine(ctx, "SELECT "+postingSelect+" FROM postings WHERE period > ? AND period <= ? ORDER BY date, unit, seq",
		[]any{f.Closed, c.Period}, func(p *costing.Posting) error {
			add(frozenPosting, p)
			return nil
		})
	if err != nil {
		return nil, err
	}
	running, err := weekPostings(f.Yard, f.Running)
	if err != nil {
		return nil, err
	}
	for i := range running {
		if p := &running[i]; p.Period() > f.Closed {
			add(frozenAccrual, p)
		}
	}
	// What runs in a month that was closed before is accrued with its adjustments.
	adjusted, err := tx.adjustmentsNow(ctx, f)
	if err != nil {
		return nil, err
	}
	for i := range adjusted {
		add(frozenAdjustment, &adjusted[i])
	}
	pay, err := tx.Payroll(ctx, f, c.Period.First(), f.Day)
	for i := range pay {
		held.pay = append(held.pay, frozenPayRow(at, &pay[i]))
	}
	return held, err
}

// files writes what was frozen as yard files.
func (f *frozen) files(into map[string][]byte) error {
	for _, write := range []func() error{
		func() error { return textOf(into, frozenFile, f.lines) },
		func() error { return textOf(into, frozenPayFile, f.pay) },
		func() error { return textOf(into, signedFile, f.signed) },
	} {
		if err := write(); err != nil {
			return err
		}
	}
	return nil
}

func textOf[R any](into map[string][]byte, f *file[R], rows []R) error {
	var b strings.Builder
	w, err := f.newWriter(&b)
	if err != nil {
		return err
	}
	for i := range rows {
		if err := w.write(&rows[i]); err != nil {
			return err
		}
	}
	if err := w.close(); err != nil {
		return err
	}
	into[f.name()] = []byte(b.String())
	return nil
}

// sign enters signatures for differences of ties.
func (tx *Tx) sign(ctx context.Context, o CloseOptions) error {
	var rows []any
	for _, s := range o.Signatures {
		rows = append(rows, s)
	}
	files, err := FilesOf(rows...)
	if err != nil {
		return err
	}
	_, err = tx.Enter(ctx, files, LoadOptions{
		Now: o.Now, Who: o.Who, Did: "signed a difference", Subject: o.Signatures[0].Period, Why: o.Signatures[0].Why, Source: o.Source,
	})
	return err
}

// SignDifference enters a signature for the difference of a tie.
func (s *Store) SignDifference(ctx context.Context, o CloseOptions) error {
	return s.InTx(ctx, func(tx *Tx) error { return tx.sign(ctx, o) })
}

// AskReopen asks to open the latest closed month again, and a second person
// who asks the same opens it.
func (s *Store) AskReopen(ctx context.Context, p costing.Period, o CloseOptions) (opened bool, err error) {
	err = s.InTx(ctx, func(tx *Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		closes := snap.Yard.Closes
		row := CloseRow{Period: p.String(), At: o.Now, Kind: string(costing.AskReopen), Who: o.Who, Why: o.Why}
		if n := len(closes); n > 0 {
			row.At = max(row.At, closes[n-1].At+1)
		}
		did := "asked to open again"
		asked, waits := closes.Asked()
		if opened = waits && asked.Period == p && asked.Who != o.Who; opened {
			row.Kind, row.Who, row.Second, did = string(costing.Reopened), asked.Who, o.Who, "opened again"
			if row.Why == "" {
				row.Why = asked.Why
			}
		}
		files, err := FilesOf(row)
		if err != nil {
			return err
		}
		_, err = tx.Enter(ctx, files, LoadOptions{Now: o.Now, Who: o.Who, Did: did, Subject: p.String(), Why: row.Why, Source: o.Source})
		return err
	})
	return opened, err
}

// carries are the ties that balance over all time, so that a difference stays
// until it is put right.
var carries = []string{"ledger", "stock", "work in progress"}

// SignedTies works the ties of a month's end out, with what was signed for them.
func (tx *Tx) SignedTies(ctx context.Context, f *Figures, p costing.Period) ([]SignedTie, error) {
	ties, err := tx.Ties(ctx, f, p.First(), f.Day)
	if err != nil {
		return nil, err
	}
	rows, err := tieSignaturesFile.all(ctx, tx)
	if err != nil {
		return nil, err
	}
	list := make([]SignedTie, len(ties))
	for i, t := range ties {
		list[i].Tie = t
		for _, r := range rows {
			if r.Tie != t.Name {
				continue
			}
			amount, err := r.whole(f.Yard.Currency, t.Seconds)
			if err != nil {
				return nil, err
			}
			switch {
			case r.Period == p.String():
				list[i].Signed += amount
			case r.Period < p.String() && slices.Contains(carries, t.Name):
				list[i].Carried += amount
			default:
				continue
			}
			list[i].Signatures = append(list[i].Signatures, r)
		}
	}
	return list, nil
}

// Signed is a table as it was signed with a close; nil where there was none.
func (tx *Tx) Signed(ctx context.Context, closed costing.Instant, name string) (*SignedTable, error) {
	var rows []SignedRow
	err := tx.DB.WithContext(ctx).Table(signedFile.stem).Order("seq").Find(&rows, "closed_ms = ? AND name = ?", closed, name).Error
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	t := &SignedTable{Name: name, Columns: json.RawMessage(rows[0].Cells)}
	for i := range rows[1:] {
		cells, err := cellsOfJSON(rows[i+1].Cells)
		if err != nil {
			return nil, fmt.Errorf("row %d of the signed table %s: %w", i+1, name, err)
		}
		t.Rows = append(t.Rows, cells)
	}
	return t, nil
}

// cellsOfJSON reads a row's cells: text, whole numbers or nothing.
func cellsOfJSON(text string) ([]any, error) {
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	var cells []any
	if err := d.Decode(&cells); err != nil {
		return nil, err
	}
	for i, c := range cells {
		if n, number := c.(json.Number); number {
			v, err := n.Int64()
			if err != nil {
				return nil, err
			}
			cells[i] = v
		}
	}
	return cells, nil
}
