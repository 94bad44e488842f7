package scantest

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/stock"
)

// View is what a rig shows as of an instant.
type View struct {
	Totals *costing.Totals
	Pieces []clock.Piece
	Stated estimate.Progress
	Books  map[stock.Unit]*stock.Book
	Worth  func(stock.Unit) costing.Money
	Noted  []*clock.Entry // checks and problems
}

// Outcome is what became of a read.
type Outcome struct{ Outcome, Code string }

var euro = costing.Currency{Code: "EUR", Minor: 2}

// lines writes a view: pieces, costs, stock, accounts and progress.
func (v *View) lines(b *strings.Builder, zone *time.Location) {
	slices.SortFunc(v.Pieces, func(p, q clock.Piece) int {
		return strings.Compare(fmt.Sprintf("%s %020d", p.Worker, p.Start), fmt.Sprintf("%s %020d", q.Worker, q.Start))
	})
	for i := range v.Pieces {
		piece(b, &v.Pieces[i], zone)
	}
	var list []string
	for k, s := range v.Totals.Cells {
		if s.Seconds != 0 || s.Amount != 0 {
			line := fmt.Sprintf("cost %s %s %s %s", k.Hull, k.Stage, k.Element, k.Purpose)
			if s.Seconds != 0 {
				line += " " + duration(s.Seconds)
			}
			list = append(list, line+" "+euro.Format(s.Amount)+" in "+k.Period.String())
		}
	}
	list = sorted(b, list)
	for u, book := range v.Books {
		for lot, s := range book.Lots {
			list = append(list, fmt.Sprintf("lot %s received %s issued %s returned %s scrapped %s difference %s left %s",
				lot, s.Received, s.Issued, s.Returned, s.Scrapped, s.Difference, s.Closing()))
		}
		if u.Lot == "" {
			list = append(list, "worth pool "+u.Item+" "+euro.Format(v.Worth(u)))
		} else {
			list = append(list, "worth lot "+u.Lot+" "+euro.Format(v.Worth(u)))
		}
	}
	list = sorted(b, list)
	accounts := map[costing.Account]costing.Money{}
	for k, m := range v.Totals.Ledger {
		accounts[k.Account] += m
	}
	for a, m := range accounts {
		if m != 0 {
			list = append(list, fmt.Sprintf("account %s %s", a, euro.Format(m)))
		}
	}
	sorted(b, list)
	slices.SortFunc(v.Noted, clock.Compare)
	for _, e := range v.Noted {
		fmt.Fprintf(b, "%s of %s by %s", e.Kind, e.Job, cmp.Or(e.Worker, e.Crew, "nobody"))
		if e.Kind == clock.Checked {
			fmt.Fprintf(b, ": %s %s %s", e.Detail, e.Quantity, clock.CheckKind(e.Detail).Unit())
			if e.Minutes != 0 {
				fmt.Fprintf(b, " in %s min", e.Minutes)
			}
		} else {
			b.WriteString(": " + e.Detail)
		}
		b.WriteString("\n")
	}
	for _, job := range slices.Sorted(maps.Keys(v.Stated)) {
		fmt.Fprintf(b, "progress %s %d %%\n", job, v.Stated[job])
	}
}

// sorted writes lines in order and gives the empty list back.
func sorted(b *strings.Builder, list []string) []string {
	slices.Sort(list)
	for _, line := range list {
		b.WriteString(line + "\n")
	}
	return nil
}

func piece(b *strings.Builder, p *clock.Piece, zone *time.Location) {
	fmt.Fprintf(b, "piece %s %s %s %s %s %s%s base %s", p.Worker, p.Date, time.Unix(p.Start, 0).In(zone).Format("15:04:05"),
		duration(p.Seconds), p.Band, p.Job, p.Indirect, euro.Format(p.Base))
	for _, part := range []struct {
		name   string
		amount costing.Money
	}{{"on-cost", p.OnCost}, {"premium", p.Premium}, {"premium-on-cost", p.PremiumOnCost}, {"overhead", p.Overhead}} {
		if part.amount != 0 {
			fmt.Fprintf(b, " %s %s", part.name, euro.Format(part.amount))
		}
	}
	for _, mark := range []struct {
		word string
		is   bool
	}{{" provisional", p.Provisional}, {" running", p.Running}, {" without a rate", p.NoRate}} {
		if mark.is {
			b.WriteString(mark.word)
		}
	}
	b.WriteString("\n")
}

// duration is h:mm:ss.
func duration(s int64) string { return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60) }
