package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"

	"hulltally/models"
)

type codesCommand struct {
	As     string `help:"csv or table." enum:"csv,table" default:"table"`
	Revoke string `help:"Make this code invalid from now on, such as that of a lost badge." placeholder:"PAYLOAD"`
	Issue  bool   `help:"With --revoke: give its holder a new code in the same step."`
}

// Run lists the codes in force, or revokes one.
func (l *codesCommand) Run(ctx context.Context, c *cli, e env) error {
	if l.Issue && l.Revoke == "" {
		return usage("--issue", errors.New("name the code that is no longer valid with --revoke"))
	}
	if l.Revoke != "" {
		return l.revoke(ctx, c, e)
	}
	return c.withStore(ctx, func(s *models.Store) error {
		var rows []models.CodeRow
		err := s.Read(ctx, func(tx *models.Tx) (err error) {
			rows, err = tx.Codes(ctx)
			return err
		})
		if err != nil {
			return err
		}
		if err := noteExport(ctx, s, e, "codes", "as "+l.As); err != nil {
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

func (l *codesCommand) revoke(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		done, err := s.RevokeCode(ctx, l.Revoke, l.Issue, byCommand(e))
		if err == nil {
			fmt.Fprintln(e.out, done)
		}
		return err
	})
}
