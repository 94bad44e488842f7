package handlers

import (
	"context"
	"net/http"
	"strings"
	"time"

	"hulltally/models"
)

// signInForm is what the sign-in page shows.
type signInForm struct{ Name, Next, Wrong string }

// wrongPair does not say which of the two is wrong.
const wrongPair = "The name or the password is wrong. Try again, or ask an owner for a new link."

// signInPage asks for name and password.
func (s *Server) signInPage(v *Visit) error {
	if v.Caller.Role != nobody {
		return v.Redirect("/")
	}
	return v.Page("sign-in.html", "Sign in", signInForm{Next: localPath(v.Query("next"))})
}

// signIn checks name and password. An unknown name takes as long as a known one.
func (s *Server) signIn(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx, name, password := v.Request.Context(), v.Form("name"), v.Form("password")
	form := signInForm{Name: name, Next: localPath(v.Form("next"))}
	key := models.PersonKey(name)
	if len(key) > 240 { // longer than any name: not worth keeping in mind
		key = key[:240]
	}
	if err := s.patience.begin(traceOf(ctx).source, key); err != nil {
		return err
	}
	p, err := s.store.Person(ctx, name)
	if err != nil {
		return err
	}
	hash := models.NobodysHash
	if p != nil && p.Password != "" {
		hash = p.Password
	}
	if fits := s.fits(password, hash); !fits || p == nil || p.Barred() {
		by := s.deed(v)
		if p != nil {
			by.Who = p.Name
		}
		if err := s.store.Note(ctx, by, "failed to sign in", name, ""); err != nil {
			return err
		}
		form.Wrong = wrongPair
		return v.pageAs(http.StatusUnprocessableEntity, "sign-in.html", "Sign in", form)
	}
	s.patience.worked(traceOf(ctx).source, key)
	if p.SecondFactor() {
		return s.askCode(v, p, form.Next)
	}
	return s.let(v, p, form.Next)
}

// askCode remembers that the password was right; the code comes next.
func (s *Server) askCode(v *Visit, p *models.PersonRow, next string) error {
	ctx := v.Request.Context()
	if err := s.begin(ctx, p); err != nil {
		return err
	}
	s.sessions.Remove(ctx, sessionPerson)
	s.sessions.Put(ctx, sessionPending, p.Person)
	s.sessions.Put(ctx, sessionNext, next)
	return v.Redirect("/sign-in/code")
}

// let starts the session of somebody who proved who they are.
func (s *Server) let(v *Visit, p *models.PersonRow, next string) error {
	if err := s.begin(v.Request.Context(), p); err != nil {
		return err
	}
	by := s.deed(v)
	by.Who = p.Name
	if err := s.store.SignedIn(v.Request.Context(), p.Name, by); err != nil {
		return err
	}
	if next == "" {
		next = "/"
	}
	return v.Redirect(next)
}

// pending is who gave the right password and owes a code; nil if nobody.
func (s *Server) pending(ctx context.Context) (*models.PersonRow, error) {
	name := s.sessions.GetString(ctx, sessionPending)
	if name == "" {
		return nil, nil
	}
	p, err := s.store.Person(ctx, name)
	if err != nil || p == nil || p.Barred() || s.sessions.GetString(ctx, sessionEpoch) != epochOf(p) {
		return nil, err
	}
	return p, nil
}

// codePage asks for the code of the second factor.
func (s *Server) codePage(v *Visit) error {
	p, err := s.pending(v.Request.Context())
	if err != nil {
		return err
	}
	if p == nil {
		return v.Redirect("/sign-in")
	}
	return v.Page("code.html", "Enter your code", signInForm{})
}

// signInCode checks the code of the second factor.
func (s *Server) signInCode(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx := v.Request.Context()
	p, err := s.pending(ctx)
	if err != nil {
		return err
	}
	if p == nil {
		return v.Redirect("/sign-in")
	}
	source, key := traceOf(ctx).source, "code "+p.Person
	if err := s.patience.begin(source, key); err != nil {
		return err
	}
	step, fits := stepOf(p.TotpSecret, v.Form("code"), s.now())
	free := false
	if fits {
		if free, err = s.store.UseStep(ctx, p.Person, step); err != nil {
			return err
		}
	}
	if !free {
		by := s.deed(v)
		by.Who = p.Name
		if err := s.store.Note(ctx, by, "failed to sign in", p.Name, "wrong code"); err != nil {
			return err
		}
		return v.pageAs(http.StatusUnprocessableEntity, "code.html", "Enter your code",
			signInForm{Wrong: "The code is wrong or was used already. Wait for the next one and try again."})
	}
	s.patience.worked(source, key)
	return s.let(v, p, s.sessions.GetString(ctx, sessionNext))
}

// signOut ends the session, also for whoever stole its token.
func (s *Server) signOut(v *Visit) error {
	ctx := v.Request.Context()
	if v.Caller.Person != nil {
		if err := s.store.Note(ctx, s.deed(v), "signed out", v.Caller.Name(), ""); err != nil {
			return err
		}
	}
	if err := s.sessions.Destroy(ctx); err != nil {
		return err
	}
	return v.Redirect("/sign-in")
}

// localPath is a path on this server, or nothing: a link must not lead a
// signed-in person elsewhere.
func localPath(next string) string {
	if !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n\t") || readable(next) != nil {
		return ""
	}
	return next
}

// totpPeriod is the life of a code (RFC 6238).
const totpPeriod = 30 * time.Second
