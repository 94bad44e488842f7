package handlers

import (
	"crypto/subtle"
	"html/template"
	"net/url"
	"strings"
	"time"

	"github.com/pquerna/otp/totp"

	"hulltally/models"
)

// stepOf finds the time step a code is of: the current one, or one beside it
// for clocks that are a little off.
func stepOf(secret, code string, now time.Time) (step int64, fits bool) {
	code = strings.ReplaceAll(code, " ", "")
	for _, off := range []time.Duration{-totpPeriod, 0, totpPeriod} {
		at := now.Add(off)
		want, err := totp.GenerateCode(secret, at)
		if err == nil && subtle.ConstantTimeCompare([]byte(want), []byte(code)) == 1 {
			step, fits = at.Unix()/int64(totpPeriod/time.Second), true
		}
	}
	return step, fits
}

// accountData is what the account page shows.
type accountData struct {
	Factor    bool // may have a second factor
	FactorSet bool
	Secret    string
	Picture   template.URL // of the secret, to scan
	Wrong     string
	Shortest  int
}

// accountPage is a person's own password and second factor.
func (s *Server) accountPage(v *Visit) error { return s.showAccount(v, 200, "") }

func (s *Server) showAccount(v *Visit, status int, wrong string) error {
	p := v.Caller.Person
	data := accountData{Factor: factor.allow(p.Role), FactorSet: p.SecondFactor(), Wrong: wrong, Shortest: models.ShortestPassword}
	ctx := v.Request.Context()
	if data.Factor && !data.FactorSet {
		data.Secret = s.sessions.GetString(ctx, sessionSecret)
		if data.Secret == "" {
			key, err := totp.Generate(totp.GenerateOpts{Issuer: "Hulltally", AccountName: p.Name})
			if err != nil {
				return err
			}
			data.Secret = key.Secret()
			s.sessions.Put(ctx, sessionSecret, data.Secret)
		}
		var err error
		// Names may be in any script; the address is ASCII by its escapes.
		address := "otpauth://totp/Hulltally:" + url.PathEscape(p.Name) + "?issuer=Hulltally&secret=" + data.Secret
		if data.Picture, err = qrPicture(address); err != nil {
			return err
		}
	}
	return v.pageAs(status, "account.html", "My account", data)
}

// changePassword takes a person's new password, for the old one.
func (s *Server) changePassword(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx, p := v.Request.Context(), v.Caller.Person
	if err := s.patience.begin(traceOf(ctx).source, p.Person); err != nil {
		return err
	}
	if !s.fits(v.Form("old"), p.Password) {
		return s.showAccount(v, 422, "The old password is wrong.")
	}
	s.patience.worked(traceOf(ctx).source, p.Person)
	if v.Form("new") != v.Form("again") {
		return s.showAccount(v, 422, "The two new passwords are not the same.")
	}
	if err := s.store.SetPassword(ctx, p.Name, v.Form("new"), s.deed(v)); err != nil {
		wrong, err := formFault(err)
		if err != nil {
			return err
		}
		return s.showAccount(v, 422, wrong)
	}
	changed, err := s.store.Person(ctx, p.Name)
	if err != nil {
		return err
	}
	if err := s.begin(ctx, changed); err != nil { // this session goes on, the others are over
		return err
	}
	v.Flash("Your password is changed, and you are signed out everywhere else.")
	return v.Redirect("/account")
}

// setSecondFactor sets a second factor, proved by a code, or takes it away for
// the password.
func (s *Server) setSecondFactor(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	ctx, p := v.Request.Context(), v.Caller.Person
	key := "code " + p.Person
	if err := s.patience.begin(traceOf(ctx).source, key); err != nil {
		return err
	}
	if p.SecondFactor() {
		if !s.fits(v.Form("password"), p.Password) {
			return s.showAccount(v, 422, "The password is wrong.")
		}
		if err := s.store.SetSecondFactor(ctx, p.Name, "", 0, s.deed(v)); err != nil {
			return err
		}
		v.Flash("Signing in no longer asks for a code.")
	} else {
		secret := s.sessions.GetString(ctx, sessionSecret)
		step, fits := stepOf(secret, v.Form("code"), s.now())
		if secret == "" || !fits {
			return s.showAccount(v, 422, "The code is wrong. Check the clock of your device and try the next code.")
		}
		if err := s.store.SetSecondFactor(ctx, p.Name, secret, step, s.deed(v)); err != nil {
			return err
		}
		s.sessions.Remove(ctx, sessionSecret)
		v.Flash("From now on signing in asks for a code too.")
	}
	s.patience.worked(traceOf(ctx).source, key)
	return v.Redirect("/account")
}
