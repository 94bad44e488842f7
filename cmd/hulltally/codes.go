package main

import (
	"context"
	"encoding/csv"
	"fmt"

	"hulltally/models"
)

type codesCommand struct {
	As string `help:"csv or table." enum:"csv,table" default:"table"`
}

// Run lists the codes in force.
func (l *codesCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		var rows []models.CodeRow
		err := s.Read(ctx, func(tx *models.Tx) (err error) {
			rows, err = tx.Codes(ctx)
			return err
		})
		if err != nil {
			return err
		}
		out := csv.NewWriter(e.out)
		if l.As == "csv" {
			_ = out.Write([]string{"kind", "key", "payload"}) // Error tells below
		}
		for _, r := range rows {
			switch {
			case r.RevokedMs != nil:
			case l.As == "csv":
				_ = out.Write([]string{r.Kind, r.Key, r.Payload})
			default:
				fmt.Fprintf(e.out, "%-9s %-20s %s\n", r.Kind, r.Key, r.Payload)
			}
		}
		out.Flush()
		return out.Error()
	})
}
