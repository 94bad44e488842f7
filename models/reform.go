package models

import (
	"context"
	"fmt"

	"gorm.io/gorm"
)

// derivedForm counts up whenever rows that are derived from the same facts come
// out otherwise than they did: another column, another text of a book or a
// fold. Databases of an earlier form are computed anew when they are opened.
const derivedForm = 1

// reform computes everything derived anew, once, where it was written in an
// earlier form.
func (s *Store) reform(ctx context.Context) error {
	form := func(db *gorm.DB) (n int, err error) {
		err = db.WithContext(ctx).Raw("SELECT derived_form FROM yard_state WHERE id = 1").Row().Scan(&n)
		return n, err
	}
	if n, err := form(s.read); err != nil || n >= derivedForm {
		return err
	}
	return s.InTx(ctx, func(tx *Tx) error {
		if n, err := form(tx.DB); err != nil || n >= derivedForm { // another server was first
			return err
		}
		if tx.Version > 0 {
			if err := tx.rebuild(ctx); err != nil {
				return fmt.Errorf("computing anew: %w", err)
			}
		}
		return tx.DB.Exec("UPDATE yard_state SET derived_form = ? WHERE id = 1", derivedForm).Error
	})
}
