package handlers

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/models"
)

// signedReports are the reports of which a close signs how they stand.
var signedReports = []string{"cost", "margin", "hours", "stock", "mass", "ties", "month"}

// SignedTables makes the tables that are signed with the close of a month: the
// reports as they stand in its books.
func SignedTables(ctx context.Context) func(tx *models.Tx, c *models.Closing) ([]models.SignedTable, error) {
	return func(tx *models.Tx, c *models.Closing) ([]models.SignedTable, error) {
		var list []models.SignedTable
		for _, name := range slices.Concat(signedReports, monthTableNames) {
			t, err := closingTable(ctx, tx, c, name)
			if err != nil {
				return nil, fmt.Errorf("the report %s: %w", name, err)
			}
			columns, err := json.Marshal(t.Columns)
			if err != nil {
				return nil, err
			}
			list = append(list, models.SignedTable{Name: name, Columns: columns, Rows: t.Rows})
		}
		return list, nil
	}
}

// closingTable is a report as it stands in the books of a month being closed.
func closingTable(ctx context.Context, tx *models.Tx, c *models.Closing, name string) (*Table, error) {
	a := &asked{Ask: Ask{Period: c.Period}, ctx: ctx, tx: tx, figures: c.Figures}
	t, err := monthBuilder(name)(a)
	if err == nil {
		t.Name = name
	}
	return t, err
}

// signed is a report of a closed month as it was signed, or nothing where the
// month is open.
func (a *asked) signed(name string) (*Table, error) {
	if a.Period == 0 || a.At != 0 {
		return nil, nil
	}
	c, closed := a.figures.Yard.Closes.Of(a.Period, endOfTime)
	if !closed || c.Period != a.Period || name == "hours" && a.Hull != "" { // time isn't signed by hull
		return nil, nil
	}
	return signedTable(a.ctx, a.tx, c, name, a.Hull)
}

const endOfTime = costing.Instant(1<<63 - 1)

func signedTable(ctx context.Context, tx *models.Tx, c costing.Close, name, hull string) (*Table, error) {
	kept, err := tx.Signed(ctx, c.At, name)
	if err != nil || kept == nil {
		return nil, err
	}
	y, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	t := &Table{
		Name: name, At: c.Period.Next().First().At(0, y.Yard.Zone) - 1, Currency: y.Yard.Currency, Period: c.Period.String(), Rows: [][]any{},
	}
	if err := json.NewDecoder(bytes.NewReader(kept.Columns)).Decode(&t.Columns); err != nil {
		return nil, err
	}
	at := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Key == "hull" })
	for _, row := range kept.Rows {
		if hull == "" || at < 0 || row[at] == hull {
			t.Rows = append(t.Rows, row)
		}
	}
	return t, nil
}
