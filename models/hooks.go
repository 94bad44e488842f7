package models

import "context"

// applyChanges computes anew what a load's changes touch.
func (tx *Tx) applyChanges(_ context.Context, _ *ChangeSet) error { return nil }

// recordReads takes the reads of reads.csv in; added is how many were new.
func (tx *Tx) recordReads(_ context.Context, _ []ReadRow, _ func(done, total int)) (added int, err error) {
	return 0, nil
}

// eachRead hands over every read in (instant, station, n) order.
func (tx *Tx) eachRead(_ func(ReadRow) error) error { return nil }
