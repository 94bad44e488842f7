package handlers

import (
	"context"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/review"
	"hulltally/handlers/workbook"
	"hulltally/models"
)

// Pack is the month-end pack: everything a month's end says, in one file. Of a
// closed month it is made of what was signed, and so always the same.
type Pack struct {
	yard, code string
	currency   costing.Currency
	period     costing.Period
	close      *costing.Close
	at         costing.Instant // the month's end
	ties       []models.SignedTie
	hulls      []packHull
	tables     map[string]*Table
	before     map[string]*Table // of the month before, where it is closed
}

// packHull is what the pack says of a hull by name.
type packHull struct{ key, name, model string }

// packTables are the tables of the pack, in its order.
var packTables = []string{
	"margin", "month", "bridge", "cost", "adjustments", "changes", "overheads", "rates", "valuation", "stock", "hours", "mass", "ties", "choices", "payroll", "journal",
}

// packTitles head the tables.
var packTitles = map[string]string{
	"margin": "The yard: margin by hull", "month": "Contracts at the month's end", "bridge": "Margin signed for to margin forecast", "cost": "Cost by hull and stage",
	"adjustments": "Adjustments of closed months", "changes": "Change orders", "overheads": "Overhead", "rates": "Absorption rates", "valuation": "Stock valuation",
	"stock": "Stock movements to date", "hours": "Hours by worker and week", "mass": "Mass against budget", "ties": "Ties", "choices": "Policy choices",
	"payroll": "Payroll", "journal": "Journal",
}

// Name is the name of the pack's files, without the ending.
func (p *Pack) Name() string { return "month-end-" + p.period.String() }

// MonthTable is one of the tables of a month's end, by itself.
func MonthTable(ctx context.Context, store *models.Store, name string, p costing.Period, now costing.Instant) (t *Table, err error) {
	err = store.Read(ctx, func(tx *models.Tx) error {
		m, err := viewMonth(ctx, tx, p, now)
		if err != nil {
			return err
		}
		t, err = m.table(name)
		return err
	})
	return t, err
}

// MonthTableSubject is what the logbook calls a table of the month's end.
func MonthTableSubject(name string) string { return "table " + name + " of /month-end/table/" + name }

// MakePack gathers the pack of a month.
func MakePack(ctx context.Context, store *models.Store, p costing.Period, now costing.Instant, progress func(step string, done, total int)) (*Pack, error) {
	if progress == nil {
		progress = func(string, int, int) {}
	}
	k := &Pack{period: p, tables: map[string]*Table{}, before: map[string]*Table{}}
	err := store.Read(ctx, func(tx *models.Tx) error {
		m, err := viewMonth(ctx, tx, p, now)
		if err != nil {
			return err
		}
		y := m.closing.Figures.Yard
		k.yard, k.code, k.currency, k.close, k.at, k.ties = y.Name, y.Currency.Code, y.Currency, m.close, m.closing.Figures.At, m.closing.Ties
		for i, name := range packTables {
			if k.tables[name], err = m.table(name); err != nil {
				return fmt.Errorf("the table %s: %w", name, err)
			}
			progress("pack", i+1, len(packTables))
		}
		for _, row := range k.tables["margin"].Rows {
			key, _ := row[0].(string)
			h := packHull{key: key}
			if hull := y.Hulls[key]; hull != nil {
				h.name, h.model = hull.Name, hull.Model
			}
			k.hulls = append(k.hulls, h)
		}
		last := (p.First() - 1).Period()
		c, closed := y.Closes.Of(last, endOfTime)
		if !closed || c.Period != last {
			return nil
		}
		for _, name := range []string{"margin", "month", "bridge"} {
			if k.before[name], err = signedTable(ctx, tx, c, name, ""); err != nil {
				return err
			}
		}
		return nil
	})
	return k, err
}

// WriteXLSX writes the pack's tables as a workbook.
func (p *Pack) WriteXLSX(w io.Writer) error {
	var sheets []workbook.Sheet
	for _, name := range packTables {
		t := p.tables[name]
		if len(t.Rows) > 0 {
			sheet := t.sheet()
			sheet.Name = packTitles[name]
			sheets = append(sheets, sheet)
		}
	}
	return workbook.Write(w, p.at.Time(), sheets...)
}

// of is the value of a row's column.
func (t *Table) of(row []any, key string) string {
	i := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Key == key })
	if i < 0 || i >= len(row) {
		return ""
	}
	return cell(row[i])
}

// rowsOf are the rows of a hull.
func (t *Table) rowsOf(hull string) [][]any {
	if t == nil {
		return nil
	}
	var rows [][]any
	for _, row := range t.Rows {
		if t.of(row, "hull") == hull {
			rows = append(rows, row)
		}
	}
	return rows
}

// amount reads an amount of a table.
func (p *Pack) amount(text string) costing.Money {
	v, err := costing.ParseDecimal(text)
	if err != nil {
		return 0
	}
	m, err := p.currency.FromDecimal(v)
	if err != nil {
		return 0
	}
	return m
}

// sum adds a column up.
func (p *Pack) sum(t *Table, key string) (sum costing.Money) {
	for _, row := range t.Rows {
		sum += p.amount(t.of(row, key))
	}
	return sum
}

func (p *Pack) show(m costing.Money) string { return plainSpaces(review.People(p.currency.Format(m))) }

// plainSpaces writes thin spaces as plain ones, which every font and reader has.
func plainSpaces(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\u202f' || r == '\u2009' || r == '\u00a0' {
			return ' '
		}
		return r
	}, s)
}

// message is the cover's sentences: what the month comes to.
func (p *Pack) message() []string {
	m := p.tables["month"]
	list := []string{fmt.Sprintf("The month cost %s and earned revenue of %s: a profit of %s %s.", p.show(p.sum(m, "cost_month")),
		p.show(p.sum(m, "revenue_month")), p.show(p.sum(m, "profit_month")), p.code)}
	margin := p.tables["margin"]
	var losing []string
	for _, row := range margin.Rows {
		if p.amount(margin.of(row, "margin")) < 0 {
			losing = append(losing, margin.of(row, "hull"))
		}
	}
	all := fmt.Sprintf("%d hulls are forecast to leave a margin of %s.", len(margin.Rows), p.show(p.sum(margin, "margin")))
	if len(losing) > 0 {
		all += " At a loss: " + strings.Join(losing, ", ") + "."
	}
	list = append(list, all)
	if v := p.sum(m, "loss_provision"); v != 0 {
		list = append(list, "Losses still to come are provided for with "+p.show(v)+".")
	}
	if n := len(p.tables["adjustments"].Rows); n > 0 {
		list = append(list, fmt.Sprintf("%d adjustments of closed months come to %s.", n, p.show(p.sum(p.tables["adjustments"], "amount"))))
	}
	return append(list, p.tied())
}

// tied says whether the books hold together.
func (p *Pack) tied() string {
	off := 0
	ties := p.tables["ties"]
	for _, row := range ties.Rows {
		if v, ok := new(big.Rat).SetString(ties.of(row, "difference")); ok && v.Sign() != 0 {
			off++
		}
	}
	if off == 0 {
		return fmt.Sprintf("All %d ties come to nought.", len(ties.Rows))
	}
	return fmt.Sprintf("%d of %d ties are off, by differences that were signed for.", off, len(ties.Rows))
}
