package models

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
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
	{"check", string(clock.VacuumDrop)},
	{"check", string(clock.LeaksFound)},
	{"check", string(clock.Temperature)},
	{"check", string(clock.Humidity)},
	{"problem", ""},
	{"problem", string(clock.LeakProblem)},
	{"problem", string(clock.DrySpot)},
	{"problem", string(clock.Damage)},
	{"problem", string(clock.MissingMaterial)},
	{"problem", string(clock.WaitingProblem)},
	{"problem", string(clock.Unsafe)},
	{"problem", string(clock.Idea)},
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
	tx     *Tx
	ctx    context.Context
	random io.Reader
	taken  map[string]bool        // payloads of badges made now, which are drawn
	last   map[labels.Kind]string // serials that run on
	coded  map[[2]string]bool     // things that have or had a code
	now    costing.Instant
	rows   []CodeRow
}

func (tx *Tx) newIssuer(ctx context.Context, random io.Reader, now costing.Instant) (*issuer, error) {
	if random == nil {
		random = rand.Reader
	}
	return &issuer{
		tx: tx, ctx: ctx, random: random, taken: map[string]bool{}, last: map[labels.Kind]string{}, coded: map[[2]string]bool{}, now: now,
	}, nil
}

// know finds out which things of a kind have or had a code.
func (is *issuer) know(kind string, keys only) error {
	for part := range slices.Chunk(keys, 500) {
		var coded []string
		q := is.tx.DB.WithContext(is.ctx).Table(codesFile.stem).Distinct().Where("kind = ? AND key IN ?", kind, part)
		if err := q.Pluck("key", &coded).Error; err != nil {
			return err
		}
		for _, key := range coded {
			is.coded[[2]string{kind, key}] = true
		}
	}
	return nil
}

// lastSerial is the highest serial of a letter. Payloads sort by bytes, and
// those of a letter are equally long.
func (is *issuer) lastSerial(letter labels.Kind) (string, error) {
	if serial, known := is.last[letter]; known {
		return serial, nil
	}
	var payloads []string
	low, high := string(letter), string(letter+1)
	err := is.tx.DB.WithContext(is.ctx).Table(codesFile.stem).Where("payload >= ? AND payload < ?", low, high).
		Order("payload DESC").Limit(1).Pluck("payload", &payloads).Error
	if err != nil || len(payloads) == 0 {
		return "", err
	}
	return payloads[0][1 : len(payloads[0])-1], nil
}

var errNoSerials = errors.New("no serials are left to print on cards")

// badgeTries bounds the draw of a badge serial that nobody has.
const badgeTries = 100

// payload is the next free payload of a kind. Badges are drawn, so that none
// can be guessed from another; the rest run on.
func (is *issuer) payload(kind string) (string, error) {
	letter := letterOf(kind)
	if letter != labels.Person {
		last, err := is.lastSerial(letter)
		if err != nil {
			return "", err
		}
		serial, payload := labels.NextSerial(letter, last)
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
		known, err := codesFile.some(is.ctx, is.tx, only{payload})
		if err != nil {
			return "", err
		}
		if !is.taken[payload] && len(known) == 0 {
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
