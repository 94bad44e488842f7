package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"hulltally/costing"
	"hulltally/handlers"
	"hulltally/models"
)

type closeCommand struct {
	Period  string   `arg:"" help:"The month, such as 2026-03." placeholder:"YYYY-MM"`
	Preview bool     `help:"Only say what closing would do, and what stands in its way."`
	Sign    []string `help:"Sign for the difference of a tie, such as 'stock=12.34'; --why says the reason. May be given more than once." placeholder:"TIE=DIFFERENCE" sep:"none"`
	Why     string   `help:"The reason of a signature, or why the month has to be opened again."`
	Who     string   `help:"Who does it, as the logbook will say; default: who is signed in to the machine."`
	Reopen  bool     `help:"Ask to open the latest closed month again; a second person who asks the same opens it."`
}

// Run closes a month, or opens the latest one again.
func (r *closeCommand) Run(ctx context.Context, c *cli, e env) error {
	p, err := costing.ParsePeriod(r.Period)
	if err != nil {
		return usage("PERIOD", err)
	}
	if r.Who == "" {
		r.Who = who()
	}
	now := costing.InstantOf(e.now())
	return c.withStore(ctx, func(s *models.Store) error {
		o := models.CloseOptions{Now: now, Who: r.Who, Why: r.Why, Source: "command line", Tables: handlers.SignedTables(ctx)}
		if o.Signatures, err = r.signatures(p, now); err != nil {
			return err
		}
		switch {
		case r.Reopen:
			return r.reopen(ctx, s, p, o, e.out)
		case r.Preview:
			return r.preview(ctx, s, p, now, e.out)
		}
		closing, err := s.CloseMonth(ctx, p, o)
		if err != nil {
			return err
		}
		writeTies(e.out, closing)
		fmt.Fprintf(e.out, "%s is closed: %d lines frozen, seal %s\n", p, closing.Lines, closing.Digest)
		return nil
	})
}

func (r *closeCommand) preview(ctx context.Context, s *models.Store, p costing.Period, now costing.Instant, out io.Writer) error {
	closing, err := s.PreviewClose(ctx, p, now)
	if err != nil {
		return err
	}
	writeTies(out, closing)
	for _, look := range closing.Look {
		fmt.Fprintln(out, "look at:", look)
	}
	for _, reason := range closing.Refused {
		fmt.Fprintln(out, "not yet:", reason)
	}
	if len(closing.Refused) > 0 {
		return errNo
	}
	fmt.Fprintf(out, "%s can be closed\n", p)
	return nil
}

func (r *closeCommand) reopen(ctx context.Context, s *models.Store, p costing.Period, o models.CloseOptions, out io.Writer) error {
	opened, err := s.AskReopen(ctx, p, o)
	switch {
	case err != nil:
		return err
	case opened:
		fmt.Fprintf(out, "%s is open again\n", p)
	default:
		fmt.Fprintf(out, "noted: %s asks to open %s again; it opens when a second person asks the same\n", r.Who, p)
	}
	return nil
}

func (r *closeCommand) signatures(p costing.Period, now costing.Instant) ([]models.TieSignatureRow, error) {
	var list []models.TieSignatureRow
	for _, s := range r.Sign {
		tie, difference, found := strings.Cut(s, "=")
		v, err := costing.ParseDecimal(strings.TrimSpace(difference))
		if !found || err != nil {
			return nil, usage("--sign", fmt.Errorf("%q is not a tie and its difference, such as stock=12.34", s))
		}
		if r.Why == "" {
			return nil, usage("--why", fmt.Errorf("a difference is signed with a reason: give one"))
		}
		list = append(list, models.TieSignatureRow{
			Period: p.String(), Tie: strings.TrimSpace(tie), At: now, Difference: models.Decimal(v), Who: r.Who, Why: r.Why,
		})
	}
	return list, nil
}

// writeTies prints the ties of a month's end.
func writeTies(out io.Writer, c *models.Closing) {
	for i := range c.Ties {
		t := &c.Ties[i]
		show := func(v int64) string { return c.Figures.Yard.Currency.Format(costing.Money(v)) }
		if t.Seconds {
			show = func(v int64) string { return fmt.Sprintf("%d s", v) }
		}
		signed := ""
		if t.Signed+t.Carried != 0 {
			signed = ", of it signed for " + show(t.Signed+t.Carried)
		}
		fmt.Fprintf(out, "%-16s %18s = %18s, difference %s%s\n", t.Name, show(t.Left), show(t.Right), show(t.Left-t.Right), signed)
	}
}
