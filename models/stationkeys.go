package models

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"strings"
	"time"

	"gorm.io/gorm"

	"hulltally/costing"
)

// StationKeyRow is a key that lets a station send reads, as its hash.
type StationKeyRow struct {
	ID        string `gorm:"primaryKey"` // names the key to people; no secret
	Hash      string
	Station   string
	MadeMs    costing.Instant
	MadeBy    string
	UsedMs    costing.Instant // 0: never
	RevokedMs costing.Instant // 0: in force
}

// TableName implements gorm's Tabler.
func (StationKeyRow) TableName() string { return "station_keys" }

// Revoked reports whether the key is no longer in force.
func (k *StationKeyRow) Revoked() bool { return k.RevokedMs != 0 }

// keyPrefix lets a key that turned up in a log be told for what it is.
const keyPrefix = "ht_"

func newStationKey(db *gorm.DB, station string, by Deed) (string, *StationKeyRow, error) {
	id := make([]byte, 4)
	_, _ = rand.Read(id)
	key := keyPrefix + newSecret()
	row := &StationKeyRow{ID: hex.EncodeToString(id), Hash: hashSecret(key), Station: station, MadeMs: by.At, MadeBy: by.Who}
	if err := db.Create(row).Error; err != nil {
		return "", nil, err
	}
	return key, row, note(db, by, "key made", station, "key "+row.ID)
}

func knownStation(db *gorm.DB, station string) error {
	var n int64
	if err := db.Model(&StationRow{}).Where("station = ?", station).Count(&n).Error; err != nil {
		return err
	}
	if n == 0 {
		return Errorf(NotFound, "there is no station %q: see stations.csv for the yard's stations", station)
	}
	return nil
}

// NewStationKey makes a key for a station. Only its hash is kept.
func (s *Store) NewStationKey(ctx context.Context, station string, by Deed) (key string, row *StationKeyRow, err error) {
	err = s.change(ctx, func(db *gorm.DB) error {
		if err := knownStation(db, station); err != nil {
			return err
		}
		key, row, err = newStationKey(db, station, by)
		return err
	})
	return key, row, err
}

// StationOf finds the key in force of a secret; nil if there is none.
func (s *Store) StationOf(ctx context.Context, key string) (*StationKeyRow, error) {
	if !strings.HasPrefix(key, keyPrefix) {
		return nil, nil
	}
	var rows []StationKeyRow
	err := s.read.WithContext(ctx).Limit(1).Find(&rows, "hash = ? AND revoked_ms = 0", hashSecret(key)).Error
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	return &rows[0], nil
}

// KeyUsed notes when a key was last used.
func (s *Store) KeyUsed(ctx context.Context, id string, at costing.Instant) error {
	return s.change(ctx, func(db *gorm.DB) error {
		return db.Exec("UPDATE station_keys SET used_ms = ? WHERE id = ? AND used_ms < ?", int64(at), id, int64(at)).Error
	})
}

// RevokeKey ends a key.
func (s *Store) RevokeKey(ctx context.Context, id string, by Deed) error {
	return s.change(ctx, func(db *gorm.DB) error {
		var rows []StationKeyRow
		if err := db.Limit(1).Find(&rows, "id = ?", id).Error; err != nil {
			return err
		}
		if len(rows) == 0 {
			return Errorf(NotFound, "there is no key %q: see the list of keys", id)
		}
		if rows[0].Revoked() {
			return nil
		}
		if err := db.Exec("UPDATE station_keys SET revoked_ms = ? WHERE id = ?", int64(by.At), id).Error; err != nil {
			return err
		}
		return note(db, by, "key revoked", rows[0].Station, "key "+id)
	})
}

// StationKeys lists all keys by station, the newest first.
func (s *Store) StationKeys(ctx context.Context) ([]StationKeyRow, error) {
	var rows []StationKeyRow
	err := s.read.WithContext(ctx).Order("station, made_ms DESC, id").Find(&rows).Error
	return rows, err
}

// Stations lists the yard's stations.
func (s *Store) Stations(ctx context.Context) ([]StationRow, error) {
	var rows []StationRow
	err := s.read.WithContext(ctx).Order("station").Find(&rows).Error
	return rows, err
}

// EnrolCodeLasts is how long a code can be typed into a station.
const EnrolCodeLasts = 10 * time.Minute

// enrolLetters leaves out what is mistaken for something else on a screen.
const enrolLetters = "23456789ABCDEFGHJKMNPQRSTVWXYZ"

const enrolLength = 8

type enrolCodeRow struct {
	Hash      string `gorm:"primaryKey"`
	Station   string
	MadeMs    costing.Instant
	MadeBy    string
	ExpiresMs costing.Instant
	UsedMs    costing.Instant
}

func (enrolCodeRow) TableName() string { return "enrol_codes" }

// NewEnrolCode makes a short code that a station is enrolled with. Earlier
// codes of the station end.
func (s *Store) NewEnrolCode(ctx context.Context, station string, by Deed) (code string, err error) {
	code = drawCode()
	err = s.change(ctx, func(db *gorm.DB) error {
		if err := knownStation(db, station); err != nil {
			return err
		}
		if err := db.Exec("DELETE FROM enrol_codes WHERE station = ? OR expires_ms < ?", station, int64(by.At)).Error; err != nil {
			return err
		}
		row := &enrolCodeRow{
			Hash: hashSecret(code), Station: station, MadeMs: by.At, MadeBy: by.Who,
			ExpiresMs: by.At + costing.Instant(EnrolCodeLasts.Milliseconds()),
		}
		if err := db.Create(row).Error; err != nil {
			return err
		}
		return note(db, by, "enrol code made", station, "")
	})
	return code, err
}

// drawCode draws letters without favour: bytes past the last whole round are thrown away.
func drawCode() string {
	var code []byte
	b := make([]byte, 1)
	for len(code) < enrolLength {
		_, _ = rand.Read(b)
		if n := int(b[0]); n < 256/len(enrolLetters)*len(enrolLetters) {
			code = append(code, enrolLetters[n%len(enrolLetters)])
		}
	}
	return string(code)
}

// plainCode takes a code as people type it.
func plainCode(code string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(code))
}

// Enrol gives a station its key for a code, once.
func (s *Store) Enrol(ctx context.Context, code string, by Deed) (key string, row *StationKeyRow, err error) {
	err = s.change(ctx, func(db *gorm.DB) error {
		var rows []enrolCodeRow
		hash := hashSecret(plainCode(code))
		if err := db.Limit(1).Find(&rows, "hash = ? AND used_ms = 0 AND expires_ms > ?", hash, int64(by.At)).Error; err != nil {
			return err
		}
		bad := Errorf(Denied, "this code is not known, was used or is too old: ask for a new one")
		if len(rows) == 0 {
			return bad
		}
		used := db.Exec("UPDATE enrol_codes SET used_ms = ? WHERE hash = ? AND used_ms = 0", int64(by.At), hash)
		if used.Error != nil || used.RowsAffected != 1 {
			return orElse(used.Error, bad)
		}
		by.Who = rows[0].MadeBy
		key, row, err = newStationKey(db, rows[0].Station, by)
		return err
	})
	return key, row, err
}
