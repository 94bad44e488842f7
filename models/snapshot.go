package models

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/stock"
	"hulltally/labels"
)

// Snapshot is the yard's own data as of one version: what reads are heard
// against and costs are worked out with. It is only read.
type Snapshot struct {
	Version     int64
	Yard        *costing.Yard
	Corrections map[string][]*clock.Correction // by worker
	codes       map[string]CodeRow
	lots        map[stock.Unit][]string // the lots of each stock unit
}

// snapshots keeps the last snapshot; the version in the database says whether
// it still holds.
type snapshots struct {
	mu   sync.Mutex
	last *Snapshot
}

// keep keeps a snapshot unless a newer one is there.
func (k *snapshots) keep(s *Snapshot) {
	if s == nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.last == nil || k.last.Version < s.Version {
		k.last = s
	}
}

// Snapshot gives the yard as this transaction sees it. From the last one on
// only what changed since is read, whoever changed it.
func (tx *Tx) Snapshot(ctx context.Context) (*Snapshot, error) {
	if tx.own != nil && tx.own.Version == tx.Version {
		return tx.own, nil
	}
	tx.kept.mu.Lock()
	defer tx.kept.mu.Unlock()
	last := tx.kept.last
	if last != nil && last.Version == tx.Version && !tx.bumped {
		return last, nil
	}
	s, err := tx.nextSnapshot(ctx, last)
	if err != nil {
		return nil, err
	}
	switch {
	case tx.bumped: // a version of our own may yet be rolled back
		tx.own = s
	case last == nil || last.Version < s.Version:
		tx.kept.last = s
	}
	return s, nil
}

func (tx *Tx) nextSnapshot(ctx context.Context, last *Snapshot) (*Snapshot, error) {
	if last != nil && last.Version < tx.Version && last.Yard.Zone != nil {
		changes, known, err := tx.changesSince(ctx, last.Version)
		if err != nil {
			return nil, err
		}
		if known && !changes.whole() {
			return tx.stepSnapshot(ctx, last, changes)
		}
	}
	return tx.readSnapshot(ctx)
}

// LoadedSnapshot is Snapshot for those who need a yard to be there.
func (tx *Tx) LoadedSnapshot(ctx context.Context) (*Snapshot, error) {
	s, err := tx.Snapshot(ctx)
	if err == nil && s.Yard.Zone == nil {
		err = Errorf(NotFound, "no yard files are loaded yet: load them with hulltally load DIR")
	}
	return s, err
}

func (tx *Tx) readSnapshot(ctx context.Context) (*Snapshot, error) {
	y, err := tx.Yard(ctx)
	if err != nil {
		return nil, err
	}
	s := &Snapshot{
		Version: tx.Version, Yard: y, Corrections: map[string][]*clock.Correction{}, codes: map[string]CodeRow{},
	}
	s.lots = lotsByUnit(y)
	codes, err := tx.Codes(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range codes {
		s.codes[c.Payload] = c
	}
	rows, err := tx.Corrections(ctx)
	if err != nil {
		return nil, err
	}
	for i := range rows {
		c := s.correction(&rows[i])
		s.Corrections[c.Worker] = append(s.Corrections[c.Worker], c)
	}
	return s, nil
}

// correction is a row as the engine takes it. A target that names both a job
// and an indirect code is the job.
func (s *Snapshot) correction(r *CorrectionRow) *clock.Correction {
	c := &clock.Correction{
		ID:     fmt.Sprintf("correction %s %s %s %s", r.Worker, r.At, r.Kind, r.Target),
		Worker: r.Worker, At: r.At, Void: r.Kind == VoidEntry, Who: r.Who, Why: r.Why,
	}
	switch {
	case r.Target == "":
	case s.Yard.Jobs[r.Target] != nil:
		c.Job = r.Target
	case s.Yard.Indirects[r.Target] != nil:
		c.Indirect = r.Target
	default:
		c.Off = true
	}
	return c
}

// Heard is a payload as the yard understands it.
type Heard struct {
	clock.Token
	Payload string // normalised
	Layout  string // the keyboard layout that had to be undone
}

// Resolve finds out what a payload meant at an instant. A code that was revoked
// since still means what it meant, or recorded work would be lost with a badge.
func (s *Snapshot) Resolve(raw string, at costing.Instant) Heard {
	reading, err := labels.Read(raw)
	if err != nil && reading.Measure == nil { // nought of a lot is refused later, nought of leaks is well
		var size labels.QuantityError
		return Heard{Token: clock.Token{Why: err.Error(), BadSize: errors.As(err, &size)}, Payload: labels.Normalise(raw)}
	}
	h := Heard{Payload: reading.Payload, Layout: reading.Layout}
	if reading.Measure != nil {
		h.Token = clock.Token{Kind: clock.Measure, Measure: *reading.Measure}
		return h
	}
	row, known := s.codes[reading.Payload]
	if !known {
		h.Why = fmt.Sprintf("the code %s is not one this yard has printed", reading.Payload)
		return h
	}
	if row.RevokedMs != nil && at >= *row.RevokedMs {
		h.Why = fmt.Sprintf("the code %s of %s %s is no longer valid", reading.Payload, row.Kind, s.name(row.Kind, row.Key))
		return h
	}
	h.Token, err = token(row)
	if err != nil {
		h.Why = err.Error()
	}
	return h
}

func token(row CodeRow) (clock.Token, error) {
	t := clock.Token{Kind: clock.Kind(row.Kind), Key: row.Key}
	if t.Kind == clock.Progress {
		percent, err := strconv.Atoi(row.Key)
		if err != nil || percent <= 0 || percent > 100 {
			return clock.Token{}, errors.New("the progress card names no per cent between 1 and 100")
		}
		t.Percent = percent
	}
	return t, nil
}

// name is what people call the thing.
func (s *Snapshot) name(kind, key string) string {
	switch clock.Kind(kind) {
	case clock.Worker:
		if w := s.Yard.Workers[key]; w != nil {
			return w.Name
		}
	case clock.Crew:
		if c := s.Yard.Crews[key]; c != nil {
			return c.Name
		}
	case clock.Indirect:
		if i := s.Yard.Indirects[key]; i != nil {
			return i.Name
		}
	case clock.Check:
		return CheckName(clock.CheckKind(key))
	case clock.Problem:
		return ProblemName(clock.ProblemKind(key))
	}
	return key
}
