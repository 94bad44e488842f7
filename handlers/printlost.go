package handlers

import (
	"slices"

	"hulltally/labels"
	"hulltally/models"
)

// lostPage asks whether a card is lost, before its code is revoked.
func (s *Server) lostPage(v *Visit) error {
	code := v.Query("code")
	if err := readable(code); err != nil {
		return err
	}
	row, holder, kind, err := s.codeOf(v, code)
	if err != nil {
		return err
	}
	return v.Page("lost.html", "Lost card", map[string]any{
		"Code": row, "Holder": holder, "Group": labels.Group(row.Payload), "Back": "/print?kind=" + string(kind),
	})
}

// revokeCode makes the code of a lost card invalid and, if asked, issues another.
func (s *Server) revokeCode(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	row, _, kind, err := s.codeOf(v, v.Form("code"))
	if err != nil {
		return err
	}
	issue := v.Form("do") == "issue"
	if !issue && v.Form("do") != "revoke" {
		return models.Errorf(models.Invalid, "the form does not say what to do: use the buttons of the page")
	}
	done, err := s.store.RevokeCode(v.Request.Context(), row.Payload, issue, s.deed(v))
	if err != nil {
		return err
	}
	v.Flash("Done: %s.", done)
	to := "/print?kind=" + string(kind)
	if issue && kind != labels.SheetWall {
		to += "&key=" + queryEscape(row.Key)
	}
	return v.Redirect(to)
}

// codeOf finds a code of a kind that the caller may print.
func (s *Server) codeOf(v *Visit, payload string) (row models.CodeRow, holder string, kind labels.SheetKind, err error) {
	ctx := v.Request.Context()
	err = s.store.Read(ctx, func(tx *models.Tx) (err error) {
		row, holder, err = tx.CodeOf(ctx, payload)
		return err
	})
	if err != nil {
		return row, "", "", err
	}
	switch row.Kind {
	case "worker":
		kind = labels.SheetBadges
	case "crew", "job", "lot", "indirect":
		kind = labels.SheetKind(row.Kind)
	default:
		kind = labels.SheetWall
	}
	if !slices.Contains(printsFor[v.Caller.Role], kind) {
		return row, "", "", errMayNot
	}
	return row, holder, kind, nil
}
