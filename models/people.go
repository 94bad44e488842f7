package models

import (
	"context"
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gorm.io/gorm"

	"hulltally/costing"
)

// PersonRow is somebody who may sign in.
type PersonRow struct {
	Person     string `gorm:"primaryKey"` // the name in lower case
	Name       string
	Role       Role
	Password   string // hash; empty: none set yet
	TotpSecret string // empty: no second factor
	TotpLast   int64
	Epoch      int64
	MadeMs     costing.Instant
	SignedInMs costing.Instant // 0: never
	BarredMs   costing.Instant // 0: may sign in
}

// TableName implements gorm's Tabler.
func (PersonRow) TableName() string { return "people" }

// Barred reports whether the person may not sign in any more.
func (p *PersonRow) Barred() bool { return p.BarredMs != 0 }

// SecondFactor reports whether signing in asks for a code too.
func (p *PersonRow) SecondFactor() bool { return p.TotpSecret != "" }

// PersonKey is the key of a name: the same for names that differ in case only.
func PersonKey(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

const longestName = 60

// checkName says why a name will not do. Marks of direction and other unseen
// characters would let one name pass for another.
func checkName(name string) error {
	switch {
	case name == "":
		return Errorf(Invalid, "the name is blank: give one")
	case !utf8.ValidString(name):
		return Errorf(Invalid, "the name is not readable text: type it again")
	case utf8.RuneCountInString(name) > longestName:
		return Errorf(Invalid, "the name has more than %d characters: shorten it", longestName)
	}
	for _, r := range name {
		if !unicode.IsPrint(r) {
			return Errorf(Invalid, "the name holds a character that cannot be seen: take it away")
		}
	}
	return nil
}

// NewPerson is somebody to let in. Without a password the person chooses one
// through a link.
type NewPerson struct {
	Name     string
	Role     Role
	Password string
}

func (n NewPerson) row(now costing.Instant) (*PersonRow, error) {
	n.Name = strings.TrimSpace(n.Name)
	if err := checkName(n.Name); err != nil {
		return nil, err
	}
	if !slices.Contains(PeopleRoles, n.Role) {
		return nil, Errorf(Invalid, "there is no role %q for a person: choose one of %s", n.Role, roleList())
	}
	p := &PersonRow{Person: PersonKey(n.Name), Name: n.Name, Role: n.Role, MadeMs: now}
	if n.Password != "" {
		if err := CheckPassword(n.Name, n.Password); err != nil {
			return nil, err
		}
		var err error
		if p.Password, err = HashPassword(n.Password); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func roleList() string {
	names := make([]string, len(PeopleRoles))
	for i, r := range PeopleRoles {
		names[i] = string(r)
	}
	return strings.Join(names, ", ")
}

// AddPerson lets somebody in.
func (s *Store) AddPerson(ctx context.Context, n NewPerson, by Deed) (*PersonRow, error) {
	p, err := n.row(by.At)
	if err != nil {
		return nil, err
	}
	err = s.change(ctx, func(db *gorm.DB) error {
		if err := addPerson(db, p); err != nil {
			return err
		}
		return note(db, by, "person added", p.Name, string(p.Role))
	})
	if err != nil {
		return nil, err
	}
	return p, nil
}

func addPerson(db *gorm.DB, p *PersonRow) error {
	err := db.Create(p).Error
	if errors.Is(err, gorm.ErrDuplicatedKey) {
		return Errorf(Conflict, "there is somebody named %s already: choose another name", p.Name)
	}
	return err
}

// People lists everybody by name, those who left too.
func (s *Store) People(ctx context.Context) ([]PersonRow, error) {
	var rows []PersonRow
	err := s.read.WithContext(ctx).Order("person").Find(&rows).Error
	return rows, err
}

// Person finds somebody by name; nil if there is none.
func (s *Store) Person(ctx context.Context, name string) (*PersonRow, error) {
	return findPerson(s.read.WithContext(ctx), name)
}

func findPerson(db *gorm.DB, name string) (*PersonRow, error) {
	key := PersonKey(name)
	if !utf8.ValidString(key) || strings.ContainsRune(key, 0) || len(key) > 4*longestName {
		return nil, nil // the database could not even be asked
	}
	var rows []PersonRow
	if err := db.Limit(1).Find(&rows, "person = ?", key).Error; err != nil || len(rows) == 0 {
		return nil, err
	}
	return &rows[0], nil
}

func mustFind(db *gorm.DB, name string) (*PersonRow, error) {
	p, err := findPerson(db, name)
	if err == nil && p == nil {
		err = Errorf(NotFound, "there is nobody with that name: see the list of people")
	}
	return p, err
}

// HasOwner reports whether somebody can sign in as owner.
func (s *Store) HasOwner(ctx context.Context) (bool, error) {
	n, err := owners(s.read.WithContext(ctx))
	return n > 0, err
}

func owners(db *gorm.DB) (n int64, err error) {
	err = db.Model(&PersonRow{}).Where("role = ? AND barred_ms = 0 AND password <> ''", string(Owner)).Count(&n).Error
	return n, err
}
