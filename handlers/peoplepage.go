package handlers

import (
	"net/http"
	"net/url"

	"hulltally/models"
)

// peopleData is what the people page shows.
type peopleData struct {
	People []models.PersonRow
	Roles  []models.Role
	Link   *shownLink
	Wrong  string
	Name   string
}

// shownLink is a one-time link, shown once to the owner who made it.
type shownLink struct{ Name, Address string }

// peoplePage lists who may sign in.
func (s *Server) peoplePage(v *Visit) error { return s.showPeople(v, http.StatusOK, peopleData{}) }

func (s *Server) showPeople(v *Visit, status int, data peopleData) error {
	var err error
	if data.People, err = s.store.People(v.Request.Context()); err != nil {
		return err
	}
	data.Roles = models.PeopleRoles
	return v.pageAs(status, "people.html", "People", data)
}

// addPerson lets somebody in and shows the link with which they choose a password.
func (s *Server) addPerson(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx := v.Request.Context()
	p, err := s.store.AddPerson(ctx, models.NewPerson{Name: v.Form("name"), Role: models.Role(v.Form("role"))}, s.deed(v))
	if err != nil {
		return s.peopleFault(v, err)
	}
	return s.showLink(v, p.Name)
}

// changePerson changes one person: role, link, sessions, second factor, bar.
func (s *Server) changePerson(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx, name, by := v.Request.Context(), v.Form("person"), s.deed(v)
	var err error
	switch v.Form("do") {
	case "link":
		return s.showLink(v, name)
	case "role":
		err = s.store.SetRole(ctx, name, models.Role(v.Form("role")), by)
	case "bar":
		err = s.store.Bar(ctx, name, true, by)
	case "unbar":
		err = s.store.Bar(ctx, name, false, by)
	case "end":
		err = s.store.EndSessions(ctx, name, by)
	case "factor":
		err = s.store.SetSecondFactor(ctx, name, "", 0, by)
	default:
		err = models.Errorf(models.Invalid, "the form does not say what to do: use the buttons of the page")
	}
	if err != nil {
		return s.peopleFault(v, err)
	}
	v.Flash("Done: %s.", name)
	return v.Redirect("/people")
}

func (s *Server) showLink(v *Visit, name string) error {
	secret, err := s.store.NewLink(v.Request.Context(), name, s.deed(v))
	if err != nil {
		return s.peopleFault(v, err)
	}
	return s.showPeople(v, http.StatusOK, peopleData{Link: &shownLink{name, s.base(v.Request) + LinkPath(secret)}})
}

func (s *Server) peopleFault(v *Visit, err error) error {
	wrong, fault := formFault(err)
	if fault != nil {
		return fault
	}
	return s.showPeople(v, statusOf(models.KindOf(err)), peopleData{Wrong: wrong, Name: v.Form("name")})
}

// LinkPath is the path of a one-time link.
func LinkPath(secret string) string { return "/choose-password?link=" + url.QueryEscape(secret) }

// base is the address the browser knows this server by.
func (s *Server) base(r *http.Request) string {
	scheme := "http://"
	if s.secure {
		scheme = "https://"
	}
	return scheme + r.Host
}
