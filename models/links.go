package models

import (
	"context"
	"time"

	"gorm.io/gorm"

	"hulltally/costing"
)

// LinkRow is a link that lets somebody choose a password, once.
type LinkRow struct {
	Hash      string `gorm:"primaryKey"`
	Person    string // empty: the first owner
	MadeMs    costing.Instant
	ExpiresMs costing.Instant
	UsedMs    costing.Instant
}

// TableName implements gorm's Tabler.
func (LinkRow) TableName() string { return "one_time_links" }

// LinkLasts is how long a link can be used.
const LinkLasts = 24 * time.Hour

func (l *LinkRow) fresh(now costing.Instant) bool { return l.UsedMs == 0 && now < l.ExpiresMs }

var errLink = Errorf(Denied, "this link has been used or is too old: ask for a new one")

// NewLink makes the secret of a link for somebody; earlier links of theirs end.
// Without a name it is for the first owner, and refused once there is one.
func (s *Store) NewLink(ctx context.Context, name string, by Deed) (secret string, err error) {
	secret = newSecret()
	err = s.change(ctx, func(db *gorm.DB) error {
		subject := "first owner"
		if name == "" {
			if n, err := owners(db); err != nil || n > 0 {
				return orElse(err, Errorf(Conflict, "the yard has an owner already: an owner lets others in"))
			}
		} else {
			p, err := mustFind(db, name)
			if err != nil {
				return err
			}
			if p.Barred() {
				return Errorf(Conflict, "%s may not sign in: let them in again first", p.Name)
			}
			subject = p.Name
		}
		key := PersonKey(name)
		if err := db.Exec("DELETE FROM one_time_links WHERE person = ?", key).Error; err != nil {
			return err
		}
		link := &LinkRow{Hash: hashSecret(secret), Person: key, MadeMs: by.At, ExpiresMs: by.At + costing.Instant(LinkLasts.Milliseconds())}
		if err := db.Create(link).Error; err != nil {
			return err
		}
		return note(db, by, "link made", subject, "")
	})
	return secret, err
}

func orElse(err, other error) error {
	if err != nil {
		return err
	}
	return other
}

// Link says whom a link is for: nil is the first owner.
func (s *Store) Link(ctx context.Context, secret string, now costing.Instant) (*PersonRow, error) {
	db := s.read.WithContext(ctx)
	link, err := findLink(db, secret, now)
	if err != nil || link.Person == "" {
		return nil, err
	}
	return mustFind(db, link.Person)
}

func findLink(db *gorm.DB, secret string, now costing.Instant) (*LinkRow, error) {
	var rows []LinkRow
	if err := db.Limit(1).Find(&rows, "hash = ?", hashSecret(secret)).Error; err != nil {
		return nil, err
	}
	if len(rows) == 0 || !rows[0].fresh(now) {
		return nil, errLink
	}
	return &rows[0], nil
}

// UseLink sets the password that the link's person chose. The first owner
// chooses a name too. It works once.
func (s *Store) UseLink(ctx context.Context, secret, name, password string, by Deed) (*PersonRow, error) {
	known, err := s.Link(ctx, secret, by.At) // before the dear hashing
	if err != nil {
		return nil, err
	}
	if known != nil {
		name = known.Name
	}
	chosen, err := NewPerson{Name: name, Role: Owner, Password: password}.row(by.At)
	if err != nil {
		return nil, err
	}
	if password == "" {
		return nil, CheckPassword(name, password)
	}
	var p *PersonRow
	err = s.change(ctx, func(db *gorm.DB) (err error) {
		if err := lockLogbook(db); err != nil {
			return err
		}
		link, err := findLink(db, secret, by.At)
		if err != nil {
			return err
		}
		used := db.Exec("UPDATE one_time_links SET used_ms = ? WHERE hash = ? AND used_ms = 0", int64(by.At), link.Hash)
		if used.Error != nil || used.RowsAffected != 1 {
			return orElse(used.Error, errLink)
		}
		if link.Person == "" {
			if n, err := owners(db); err != nil || n > 0 {
				return orElse(err, errLink)
			}
			p = chosen
			if err := addPerson(db, p); err != nil {
				return err
			}
			return note(db, Deed{p.Name, by.Source, by.At}, "set up", p.Name, string(p.Role))
		}
		if p, err = mustFind(db, link.Person); err != nil {
			return err
		}
		if p.Barred() {
			return errLink
		}
		p.Password, p.Epoch = chosen.Password, p.Epoch+1
		if err := db.Exec("UPDATE people SET password = ?, epoch = ? WHERE person = ?", p.Password, p.Epoch, p.Person).Error; err != nil {
			return err
		}
		return note(db, Deed{p.Name, by.Source, by.At}, "password chosen", p.Name, "by link")
	})
	if err != nil {
		return nil, err
	}
	return p, nil
}
