package handlers

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/costing/material"
	"hulltally/models"
)

// ReportNames lists the reports.
var ReportNames = []string{
	"cost", "margin", "hours", "stock", "mass", "ties", "month",
	"resin", "fibre", "core", "mixes", "factors", "cutting", "laminates", "unweighed", "trace", "order",
}

// Ask says what is wanted of a report.
type Ask struct {
	Hull   string
	Period costing.Period  // 0: none
	At     costing.Instant // 0: now
	Now    time.Time

	Lot, Batch string // of a trace
}

// reports builds each report from the figures.
var reports = map[string]func(*asked) (*Table, error){
	"cost": costTable, "margin": marginTable, "hours": hoursTable, "stock": stockTable,
	"mass": massTable, "ties": tiesTable, "month": monthTable,
	"resin": useTable(material.Resins), "fibre": useTable(material.Fibres), "core": useTable(material.Cores), "mixes": mixesTable,
	"factors": factorsTable, "cutting": cuttingTable, "laminates": laminatesTable, "unweighed": unweighedTable, "trace": traceTable, "order": orderTable,
}

// asked is a report in the making.
type asked struct {
	Ask
	ctx     context.Context
	tx      *models.Tx
	figures *models.Figures
}

// Report makes a report in one reading transaction. Of cost, margin, stock and
// mass a period means the figures as they stood at its end; of hours, ties and
// month it means what is dated in it.
func Report(ctx context.Context, store *models.Store, name string, ask Ask) (*Table, error) {
	build, ok := reports[name]
	if !ok {
		return nil, models.Errorf(models.Invalid, "there is no report %q: choose one of %s", name, strings.Join(ReportNames, ", "))
	}
	var t *Table
	err := store.Read(ctx, func(tx *models.Tx) error {
		a := &asked{Ask: ask, ctx: ctx, tx: tx}
		if err := a.load(); err != nil {
			return err
		}
		var err error
		if t, err = a.signed(name); err != nil || t != nil {
			return err
		}
		t, err = build(a)
		return err
	})
	if err != nil {
		return nil, err
	}
	t.Name = name
	return t, nil
}

func (a *asked) load() error {
	snap, err := a.tx.LoadedSnapshot(a.ctx)
	if err != nil {
		return err
	}
	if a.Hull != "" && snap.Yard.Hulls[a.Hull] == nil {
		return models.Errorf(models.NotFound, "there is no hull %q: see hulls.csv for the yard's hulls", a.Hull)
	}
	at := a.At
	if at == 0 {
		at = costing.InstantOf(a.Now)
		if a.Period != 0 {
			at = min(at, a.Period.Next().First().At(0, snap.Yard.Zone)-1)
		}
	}
	a.figures, err = a.tx.Figures(a.ctx, at)
	return err
}

func (a *asked) table(columns ...Column) *Table {
	t := &Table{At: a.figures.At, Currency: a.figures.Yard.Currency, Columns: columns, Rows: [][]any{}}
	if a.Period != 0 {
		t.Period = a.Period.String()
	}
	return t
}

func (a *asked) money(m costing.Money) string { return a.figures.Yard.Currency.Format(m) }

// Write writes a table as table, csv, json or, with the instant it is made at,
// xlsx.
func (t *Table) Write(w io.Writer, as string, made time.Time) error {
	switch as {
	case "xlsx":
		return t.WriteXLSX(w, made)
	case "json":
		return t.WriteJSON(w)
	case "csv":
		return t.WriteCSV(w)
	case "table", "":
		return t.WriteText(w)
	}
	return models.Errorf(models.Invalid, "a report is printed as table, csv, json or xlsx, not as %q", as)
}

// wanted reports whether a hull is asked for.
func (a *asked) wanted(hull string) bool { return a.Hull == "" || a.Hull == hull }

// span is the days a report by date covers.
func (a *asked) span() (from, to costing.Date) {
	if a.Period == 0 {
		return costing.FromStart, a.figures.Day
	}
	return a.Period.First(), min(a.Period.Next().First()-1, a.figures.Day)
}

// rowText is a row's first cells as text, to sort by.
func sortRows(rows [][]any, by int) {
	slices.SortFunc(rows, func(a, b []any) int {
		for i := range by {
			if c := strings.Compare(fmt.Sprint(a[i]), fmt.Sprint(b[i])); c != 0 {
				return c
			}
		}
		return 0
	})
}
