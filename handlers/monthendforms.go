package handlers

import (
	"net/url"
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// monthForm reads which month a form is about.
func (s *Server) monthForm(v *Visit) (costing.Period, models.CloseOptions, error) {
	o := models.CloseOptions{Now: costing.InstantOf(s.now()), Tables: SignedTables(v.Request.Context())}
	if err := v.readForm(); err != nil {
		return 0, o, err
	}
	by := s.deed(v)
	o.Who, o.Source, o.Why = by.Who, by.Source, strings.TrimSpace(v.Form("why"))
	p, err := costing.ParsePeriod(v.Form("period"))
	if err != nil {
		return 0, o, models.Errorf(models.Invalid, "period: %v", err)
	}
	return p, o, nil
}

func (v *Visit) toMonth(p costing.Period) error {
	return v.Redirect("/month-end?period=" + url.QueryEscape(p.String()))
}

// closeMonth closes a month.
func (s *Server) closeMonth(v *Visit) error {
	p, o, err := s.monthForm(v)
	if err != nil {
		return err
	}
	c, err := s.store.CloseMonth(v.Request.Context(), p, o)
	if err != nil {
		return s.monthFault(v, p, err)
	}
	v.Flash("%s is closed: %d lines are frozen.", p, c.Lines)
	return v.toMonth(p)
}

// signDifference signs for the difference of a tie.
func (s *Server) signDifference(v *Visit) error {
	p, o, err := s.monthForm(v)
	if err != nil {
		return err
	}
	if o.Why == "" {
		return s.monthFault(v, p, models.Errorf(models.Invalid, "a difference is signed with a reason: write one"))
	}
	amount, err := costing.ParseDecimal(strings.TrimSpace(v.Form("difference")))
	if err != nil {
		return models.Errorf(models.Invalid, "difference: %v", err)
	}
	o.Signatures = []models.TieSignatureRow{{
		Period: p.String(), Tie: v.Form("tie"), At: o.Now, Difference: models.Decimal(amount), Who: o.Who, Why: o.Why,
	}}
	if err := s.store.SignDifference(v.Request.Context(), o); err != nil {
		return s.monthFault(v, p, err)
	}
	v.Flash("Signed: %s, %s.", v.Form("tie"), v.Form("difference"))
	return v.toMonth(p)
}

// reopenMonth asks to open the latest month again, or agrees to it.
func (s *Server) reopenMonth(v *Visit) error {
	p, o, err := s.monthForm(v)
	if err != nil {
		return err
	}
	opened, err := s.store.AskReopen(v.Request.Context(), p, o)
	switch {
	case err != nil:
		return s.monthFault(v, p, err)
	case opened:
		v.Flash("%s is open again.", p)
	default:
		v.Flash("Noted. %s opens again when a second person agrees.", p)
	}
	return v.toMonth(p)
}

// monthFault says on the month's page what was wrong, where a person can mend it.
func (s *Server) monthFault(v *Visit, p costing.Period, err error) error {
	wrong, fault := formFault(err)
	if fault != nil {
		return fault
	}
	v.Flash("Not done: %s", wrong)
	return v.toMonth(p)
}
