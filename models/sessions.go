package models

import (
	"context"
	"encoding/base64"
	"time"

	"gorm.io/gorm"

	"hulltally/costing"
)

// SessionRow is a browser's session; the token is kept as its hash only.
type SessionRow struct {
	Hash      string `gorm:"primaryKey"`
	Data      string // base64
	ExpiresMs costing.Instant
}

// TableName implements gorm's Tabler.
func (SessionRow) TableName() string { return "web_sessions" }

// FindSession is the data of a session that has not run out.
func (s *Store) FindSession(ctx context.Context, hash string, now time.Time) (data []byte, expires time.Time, found bool, err error) {
	var rows []SessionRow
	err = s.read.WithContext(ctx).Limit(1).Find(&rows, "hash = ? AND expires_ms > ?", hash, now.UnixMilli()).Error
	if err != nil || len(rows) == 0 {
		return nil, time.Time{}, false, err
	}
	data, err = base64.StdEncoding.DecodeString(rows[0].Data)
	return data, rows[0].ExpiresMs.Time(), err == nil, err
}

// SaveSession keeps a session until it expires, and forgets those that have.
func (s *Store) SaveSession(ctx context.Context, hash string, data []byte, expires, now time.Time) error {
	return s.change(ctx, func(db *gorm.DB) error {
		if err := db.Exec("DELETE FROM web_sessions WHERE expires_ms <= ?", now.UnixMilli()).Error; err != nil {
			return err
		}
		return db.Exec("INSERT INTO web_sessions (hash, data, expires_ms) VALUES (?, ?, ?) "+
			"ON CONFLICT (hash) DO UPDATE SET data = excluded.data, expires_ms = excluded.expires_ms",
			hash, base64.StdEncoding.EncodeToString(data), expires.UnixMilli()).Error
	})
}

// DropSession forgets a session.
func (s *Store) DropSession(ctx context.Context, hash string) error {
	return s.change(ctx, func(db *gorm.DB) error {
		return db.Exec("DELETE FROM web_sessions WHERE hash = ?", hash).Error
	})
}
