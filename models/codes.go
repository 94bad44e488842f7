package models

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"

	"hulltally/costing"
	"hulltally/labels"
)

// wallCards are the cards that hang by every station.
var wallCards = []struct{ kind, key string }{
	{"off", ""},
	{"done", ""},
	{"progress", "25"},
	{"progress", "50"},
	{"progress", "75"},
	{"return", ""},
	{"waste", ""},
	{"scrap", ""},
	{"undo", ""},
	{"cancel", ""},
}

// letterOf is the first letter of a kind's payloads.
func letterOf(kind string) labels.Kind {
	switch kind {
	case "worker":
		return labels.Person
	case "crew":
		return labels.Crew
	case "job":
		return labels.Job
	case "lot":
		return labels.Lot
	case "indirect":
		return labels.Indirect
	}
	return labels.Wall
}

// Codes lists every printed code, revoked ones too, by kind and key.
func (tx *Tx) Codes(ctx context.Context) ([]CodeRow, error) {
	var rows []CodeRow
	err := tx.DB.WithContext(ctx).Order("kind, key, issued_ms, payload").Find(&rows).Error
	return rows, err
}

// issuer makes new payloads.
type issuer struct {
	random io.Reader
	taken  map[string]bool        // payloads of badges, which are drawn
	last   map[labels.Kind]string // serials that run on
	coded  map[[2]string]bool     // things that have or had a code
	now    costing.Instant
	rows   []CodeRow
}

func (tx *Tx) newIssuer(ctx context.Context, random io.Reader, now costing.Instant) (*issuer, error) {
	if random == nil {
		random = rand.Reader
	}
	is := &issuer{random: random, taken: map[string]bool{}, last: map[labels.Kind]string{}, coded: map[[2]string]bool{}, now: now}
	known, err := tx.Codes(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range known {
		is.coded[[2]string{c.Kind, c.Key}] = true
		letter := letterOf(c.Kind)
		if letter == labels.Person {
			is.taken[c.Payload] = true
		} else if serial := c.Payload[1 : len(c.Payload)-1]; serial > is.last[letter] {
			is.last[letter] = serial
		}
	}
	return is, nil
}

var errNoSerials = errors.New("no serials are left to print on cards")

// badgeTries bounds the draw of a badge serial that nobody has.
const badgeTries = 100

// payload is the next free payload of a kind. Badges are drawn, so that none
// can be guessed from another; the rest run on.
func (is *issuer) payload(kind string) (string, error) {
	letter := letterOf(kind)
	if letter != labels.Person {
		serial, payload := labels.NextSerial(letter, is.last[letter])
		if payload == "" {
			return "", errNoSerials
		}
		is.last[letter] = serial
		return payload, nil
	}
	for range badgeTries {
		_, payload, err := labels.RandomSerial(letter, is.random)
		if err != nil {
			return "", fmt.Errorf("drawing a badge's serial: %w", err)
		}
		if !is.taken[payload] {
			is.taken[payload] = true
			return payload, nil
		}
	}
	return "", errNoSerials
}

// issue gives a thing that never had a code its first one.
func (is *issuer) issue(kind, key string) error {
	if is.coded[[2]string{kind, key}] {
		return nil
	}
	return is.replace(kind, key)
}

// replace gives a thing a new code.
func (is *issuer) replace(kind, key string) error {
	payload, err := is.payload(kind)
	if err != nil {
		return err
	}
	is.coded[[2]string{kind, key}] = true
	is.rows = append(is.rows, CodeRow{Kind: kind, Key: key, Payload: payload, IssuedMs: is.now})
	return nil
}
