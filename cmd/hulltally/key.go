package main

import (
	"context"
	"fmt"

	"hulltally/costing"
	"hulltally/models"
)

type keyCommand struct {
	Station string `arg:"" optional:"" help:"The station to make a key for. Without one the keys are listed."`
	Revoke  string `help:"Revoke the key of this id instead." placeholder:"ID"`
	Code    bool   `help:"Make a short code to type into the station instead of the key."`
}

// Run makes, lists or revokes station keys. A new key is printed once.
func (k *keyCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		by := byCommand(e)
		switch {
		case k.Revoke != "":
			return s.RevokeKey(ctx, k.Revoke, by)
		case k.Station == "":
			return k.list(ctx, s, e)
		case k.Code:
			code, err := s.NewEnrolCode(ctx, k.Station, by)
			if err == nil {
				fmt.Fprintln(e.out, code)
			}
			return err
		}
		key, _, err := s.NewStationKey(ctx, k.Station, by)
		if err == nil {
			fmt.Fprintln(e.out, key)
		}
		return err
	})
}

func (k *keyCommand) list(ctx context.Context, s *models.Store, e env) error {
	keys, err := s.StationKeys(ctx)
	for i := range keys {
		state := "in force"
		if keys[i].Revoked() {
			state = "revoked"
		}
		used := "never used"
		if keys[i].UsedMs != 0 {
			used = "last used " + keys[i].UsedMs.String()
		}
		fmt.Fprintf(e.out, "%s  %-16s %-9s made %s by %s, %s\n", keys[i].ID, keys[i].Station, state, keys[i].MadeMs, keys[i].MadeBy, used)
	}
	return err
}

// noteExport writes in the logbook that somebody took data out, before they get
// it. Where the database cannot be written it only says so.
func noteExport(ctx context.Context, s *models.Store, e env, subject, detail string) error {
	noted, err := s.NoteIfWritable(ctx, byCommand(e), "exported", subject, detail)
	if err == nil && !noted {
		fmt.Fprintln(e.err, "hulltally: the database is read-only here, so this is not noted in its logbook")
	}
	return err
}

// byCommand is the user of the machine as the logbook notes them.
func byCommand(e env) models.Deed {
	return models.Deed{Who: who(), Source: "command line", At: costing.InstantOf(e.now())}
}
