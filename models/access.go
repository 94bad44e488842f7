package models

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"time"

	"gorm.io/gorm"

	"hulltally/costing"
)

// Role is what a caller does in the yard. What each may see and do is said in
// one table, of routes.
type Role string

// The roles. A station is a screen on the wall with a key; the others are people.
const (
	Station    Role = "station"
	TeamLeader Role = "team leader"
	Stores     Role = "stores"
	Estimator  Role = "estimator"
	Owner      Role = "owner"
	Bookkeeper Role = "bookkeeper"
)

// PeopleRoles are the roles a person can have.
var PeopleRoles = []Role{TeamLeader, Stores, Estimator, Bookkeeper, Owner}

// Deed is who acts, and from where: what the logbook notes of a change.
type Deed struct {
	Who    string
	Source string // the network address, or the command line
	At     costing.Instant
}

// change runs f in a writing transaction that leaves the yard alone: a sign-in
// must not wait for a long load on a database that can do both.
func (s *Store) change(ctx context.Context, f func(db *gorm.DB) error) error {
	for try := 1; ; try++ {
		err := s.write.WithContext(ctx).Transaction(f)
		if err == nil || try == writeTries || !s.dialect.retryable(err) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(time.Duration(try*try) * 10 * time.Millisecond):
		}
	}
}

// newSecret draws 32 random bytes in URL-safe form.
func newSecret() string {
	b := make([]byte, 32)
	_, _ = rand.Read(b) // never fails: the program stops before
	return base64.RawURLEncoding.EncodeToString(b)
}

// hashSecret is how a secret is kept. Secrets are long and random, so a fast
// hash serves: there is nothing to guess.
func hashSecret(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
