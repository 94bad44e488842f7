package models

import (
	"context"
	"fmt"

	"hulltally/costing"
	"hulltally/labels"
)

// Revocation is what became of a code: the one that is no longer valid, what
// its holder is called, and the new one where one was issued.
type Revocation struct {
	Old    CodeRow
	Holder string
	New    *CodeRow
}

// String tells it in a line.
func (r *Revocation) String() string {
	s := fmt.Sprintf("the code %s of %s %s is no longer valid", r.Old.Payload, r.Old.Kind, r.Holder)
	if r.New == nil {
		return s
	}
	return s + "; the new one is " + r.New.Payload
}

// RevokeCode makes a code invalid from the deed's instant on, such as that of a
// lost badge, and with issue gives its holder a new one in the same step. The
// old code stays known, so that its use is reported by name, and what was read
// with it before keeps its work. A code that was revoked without a new one may
// get it later.
func (s *Store) RevokeCode(ctx context.Context, payload string, issue bool, by Deed) (*Revocation, error) {
	var done *Revocation
	err := s.InTx(ctx, func(tx *Tx) (err error) {
		if done, err = tx.revokePayload(ctx, payload, issue, by.At); err != nil {
			return err
		}
		did := "code revoked"
		if issue {
			did = "code replaced"
		}
		return note(tx.DB, by, did, done.Old.Kind+" "+done.Holder, done.String())
	})
	if err != nil {
		return nil, err
	}
	return done, nil
}

func (tx *Tx) revokePayload(ctx context.Context, payload string, issue bool, now costing.Instant) (*Revocation, error) {
	reading, err := labels.Read(payload)
	if err != nil {
		return nil, Errorf(Invalid, "%v", err)
	}
	var row CodeRow
	found := tx.DB.WithContext(ctx).Limit(1).Find(&row, "payload = ?", reading.Payload)
	if found.Error != nil {
		return nil, found.Error
	}
	if found.RowsAffected == 0 {
		return nil, Errorf(NotFound, "the code %.40q is not one this yard has printed: hulltally codes lists them", reading.Payload)
	}
	if row.RevokedMs != nil {
		var inForce int64
		if err := tx.DB.Model(&CodeRow{}).Where("kind = ? AND key = ? AND revoked_ms IS NULL", row.Kind, row.Key).Count(&inForce).Error; err != nil {
			return nil, err
		}
		switch {
		case inForce > 0:
			return nil, Errorf(Conflict, "the code %s was revoked on %s, and %s %s has a new one", row.Payload, *row.RevokedMs, row.Kind, row.Key)
		case !issue:
			return nil, Errorf(Conflict, "the code %s was revoked on %s already", row.Payload, *row.RevokedMs)
		}
	}
	return tx.revoke(ctx, row, issue, now)
}

// ReplaceCode revokes the code in force of a thing and issues a new one.
func (tx *Tx) ReplaceCode(ctx context.Context, kind, key string, now costing.Instant) (CodeRow, error) {
	var row CodeRow
	found := tx.DB.WithContext(ctx).Limit(1).Find(&row, "kind = ? AND key = ? AND revoked_ms IS NULL", kind, key)
	if found.Error != nil {
		return CodeRow{}, found.Error
	}
	if found.RowsAffected == 0 {
		return CodeRow{}, Errorf(NotFound, "%s %.40q has no code in force", kind, key)
	}
	done, err := tx.revoke(ctx, row, true, now)
	if err != nil {
		return CodeRow{}, err
	}
	return *done.New, nil
}

func (tx *Tx) revoke(ctx context.Context, row CodeRow, issue bool, now costing.Instant) (*Revocation, error) {
	done := &Revocation{Old: row}
	if row.RevokedMs == nil {
		if err := tx.DB.WithContext(ctx).Model(&CodeRow{}).Where("payload = ?", row.Payload).Update("revoked_ms", int64(now)).Error; err != nil {
			return nil, err
		}
		done.Old.RevokedMs = &now
	}
	if issue {
		is, err := tx.newIssuer(ctx, nil, now)
		if err != nil {
			return nil, err
		}
		if err := is.replace(row.Kind, row.Key); err != nil {
			return nil, err
		}
		if err := insertRows(ctx, tx, codesFile, is.rows, ""); err != nil {
			return nil, err
		}
		done.New = &is.rows[0]
	}
	if err := tx.Bump(); err != nil { // so that the other servers see it
		return nil, err
	}
	ch := yardChanges{}
	ch.add(codesFile.stem, row.Payload)
	if done.New != nil {
		ch.add(codesFile.stem, done.New.Payload)
	}
	if err := ch.note(ctx, tx); err != nil {
		return nil, err
	}
	snap, err := tx.Snapshot(ctx)
	if err != nil {
		return nil, err
	}
	done.Holder = snap.name(row.Kind, row.Key)
	// A station whose clock is ahead may have sent the old code after this instant.
	a := &applying{ctx: ctx, tx: tx, snap: snap, ch: &ChangeSet{}}
	return done, a.stations("at_ms >= ?", now)
}
