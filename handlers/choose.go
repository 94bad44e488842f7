package handlers

import (
	"net/http"

	"hulltally/costing"
	"hulltally/models"
)

// chooseForm is what the page behind a one-time link shows.
type chooseForm struct {
	Link, Name string
	First      bool // the first owner picks a name too
	Wrong      string
	Shortest   int
}

// choosePage lets somebody with a one-time link choose a password.
func (s *Server) choosePage(v *Visit) error {
	form, err := s.chooseForm(v, v.Query("link"))
	if err != nil {
		return err
	}
	return v.Page("choose.html", "Choose a password", form)
}

func (s *Server) chooseForm(v *Visit, link string) (chooseForm, error) {
	p, err := s.store.Link(v.Request.Context(), link, costing.InstantOf(s.now()))
	if err != nil {
		return chooseForm{}, err
	}
	form := chooseForm{Link: link, First: p == nil, Shortest: models.ShortestPassword}
	if p != nil {
		form.Name = p.Name
	}
	return form, nil
}

// choose takes the password, once, and signs in.
func (s *Server) choose(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	form, err := s.chooseForm(v, v.Form("link"))
	if err != nil {
		return err
	}
	again := func(wrong string) error {
		form.Wrong = wrong
		if form.First {
			form.Name = v.Form("name")
		}
		return v.pageAs(http.StatusUnprocessableEntity, "choose.html", "Choose a password", form)
	}
	if v.Form("password") != v.Form("again") {
		return again("The two passwords are not the same.")
	}
	p, err := s.store.UseLink(v.Request.Context(), form.Link, v.Form("name"), v.Form("password"), s.deed(v))
	if err != nil {
		wrong, err := formFault(err)
		if err != nil {
			return err
		}
		return again(wrong)
	}
	if p.SecondFactor() { // a link replaces the password, not the code
		return s.askCode(v, p, "")
	}
	return s.let(v, p, "")
}
