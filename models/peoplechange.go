package models

import (
	"context"
	"slices"

	"gorm.io/gorm"
)

// SignedIn notes that somebody signed in.
func (s *Store) SignedIn(ctx context.Context, person string, by Deed) error {
	return s.change(ctx, func(db *gorm.DB) error {
		if err := lockLogbook(db); err != nil {
			return err
		}
		if err := db.Exec("UPDATE people SET signed_in_ms = ? WHERE person = ?", int64(by.At), PersonKey(person)).Error; err != nil {
			return err
		}
		return note(db, by, "signed in", person, "")
	})
}

// SetRole gives somebody another role. What they see changes at once.
func (s *Store) SetRole(ctx context.Context, name string, role Role, by Deed) error {
	if !slices.Contains(PeopleRoles, role) {
		return Errorf(Invalid, "there is no role %q for a person: choose one of %s", role, roleList())
	}
	return s.changePerson(ctx, name, func(db *gorm.DB, p *PersonRow) error {
		before := p.Role
		p.Role = role
		if role != Owner && role != Bookkeeper { // the second factor is theirs
			p.TotpSecret, p.TotpLast = "", 0
		}
		return note(db, by, "role changed", p.Name, string(before)+" to "+string(role))
	})
}

// Bar stops somebody from signing in, or lets them again. Their sessions end.
func (s *Store) Bar(ctx context.Context, name string, barred bool, by Deed) error {
	return s.changePerson(ctx, name, func(db *gorm.DB, p *PersonRow) error {
		did := "person let in again"
		p.BarredMs = 0
		if barred {
			did, p.BarredMs = "person barred", by.At
		}
		p.Epoch++
		return note(db, by, did, p.Name, "")
	})
}

// SetPassword gives somebody a password. Their sessions end.
func (s *Store) SetPassword(ctx context.Context, name, password string, by Deed) error {
	if err := CheckPassword(name, password); err != nil {
		return err
	}
	hash, err := HashPassword(password)
	if err != nil {
		return err
	}
	return s.changePerson(ctx, name, func(db *gorm.DB, p *PersonRow) error {
		p.Password = hash
		p.Epoch++
		return note(db, by, "password changed", p.Name, "")
	})
}

// SetSecondFactor sets the secret of somebody's second factor, or with none
// takes it away. step is the time step of the code that proved it.
func (s *Store) SetSecondFactor(ctx context.Context, name, secret string, step int64, by Deed) error {
	return s.changePerson(ctx, name, func(db *gorm.DB, p *PersonRow) error {
		did := "second factor removed"
		if secret != "" {
			did = "second factor set"
			if p.Role != Owner && p.Role != Bookkeeper {
				return Errorf(Denied, "a second factor is for owner and bookkeeper")
			}
		}
		p.TotpSecret, p.TotpLast = secret, step
		return note(db, by, did, p.Name, "")
	})
}

// UseStep takes the time step of a code, and reports whether it was still free:
// a code that was overheard is worth nothing.
func (s *Store) UseStep(ctx context.Context, name string, step int64) (free bool, err error) {
	err = s.change(ctx, func(db *gorm.DB) error {
		done := db.Exec("UPDATE people SET totp_last = ? WHERE person = ? AND totp_last < ?", step, PersonKey(name), step)
		free = done.RowsAffected == 1
		return done.Error
	})
	return free && err == nil, err
}

// EndSessions ends all of somebody's sessions.
func (s *Store) EndSessions(ctx context.Context, name string, by Deed) error {
	return s.changePerson(ctx, name, func(db *gorm.DB, p *PersonRow) error {
		p.Epoch++
		return note(db, by, "sessions ended", p.Name, "")
	})
}

// changePerson changes somebody and keeps at least one owner. The logbook is
// written first, which makes two such changes wait for each other.
func (s *Store) changePerson(ctx context.Context, name string, f func(db *gorm.DB, p *PersonRow) error) error {
	return s.change(ctx, func(db *gorm.DB) error {
		if err := lockLogbook(db); err != nil {
			return err
		}
		before, err := owners(db)
		if err != nil {
			return err
		}
		p, err := mustFind(db, name)
		if err != nil {
			return err
		}
		if err := f(db, p); err != nil {
			return err
		}
		if err := db.Model(&PersonRow{}).Where("person = ?", p.Person).Select("*").Updates(p).Error; err != nil {
			return err
		}
		after, err := owners(db)
		if err == nil && before > 0 && after == 0 {
			err = Errorf(Conflict, "%s is the last owner who can sign in: make somebody else an owner first", p.Name)
		}
		return err
	})
}
