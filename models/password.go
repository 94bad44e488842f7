package models

import (
	"runtime"
	"strings"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"
)

// passwordCost takes about 50 ms and 19 MiB of a small server: dear for who
// guesses, bearable for who signs in.
var passwordCost = &argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// hashing bounds how many passwords are hashed at once, so that a flood of
// sign-ins cannot use up the memory.
var hashing = make(chan struct{}, max(2, runtime.NumCPU()))

// Bounds of a password. The upper one keeps hashing cheap.
const (
	ShortestPassword = 12
	longestPassword  = 200
)

// CheckPassword says why a password will not do, if so.
func CheckPassword(name, password string) error {
	switch n := utf8.RuneCountInString(password); {
	case n < ShortestPassword:
		return Errorf(Invalid, "a password needs at least %d characters: a few words in a row do well", ShortestPassword)
	case len(password) > longestPassword:
		return Errorf(Invalid, "a password has at most %d bytes: shorten it", longestPassword)
	case !utf8.ValidString(password):
		return Errorf(Invalid, "the password is not readable text: type it again")
	case name != "" && strings.Contains(strings.ToLower(password), strings.ToLower(name)):
		return Errorf(Invalid, "a password must not hold the name: choose other words")
	case len(strings.TrimLeft(password, password[:1])) == 0:
		return Errorf(Invalid, "a password of one repeated character is guessed at once: choose other words")
	}
	return nil
}

// HashPassword is the form in which a password is kept.
func HashPassword(password string) (string, error) {
	hashing <- struct{}{}
	defer func() { <-hashing }()
	return argon2id.CreateHash(password, passwordCost)
}

// PasswordFits compares a password with its hash.
func PasswordFits(password, hash string) bool {
	if len(password) > longestPassword {
		password = password[:longestPassword] + "…" // never fits, and costs the same
	}
	hashing <- struct{}{}
	defer func() { <-hashing }()
	fits, err := argon2id.ComparePasswordAndHash(password, hash)
	return err == nil && fits
}

// NobodysHash is compared with when a name is unknown or has no password yet,
// so that the time taken does not tell. No password fits it: its salt and key
// are made at start and thrown away.
var NobodysHash = func() string {
	hash, err := argon2id.CreateHash(newSecret(), passwordCost)
	if err != nil {
		panic(err) // only the random source could fail, and it cannot
	}
	return hash
}()
