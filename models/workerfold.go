package models

import (
	"encoding/json"
	"fmt"

	"hulltally/costing"
	"hulltally/costing/recost"
)

// workerFold is a worker's checkpoint as it is stored: the fold after the
// entries of one week, where the last of them stands, and how many pieces and
// postings that week's entries made.
type workerFold struct {
	Worker         string `gorm:"primaryKey"`
	Week           string // Monday
	LastAtMs       costing.Instant
	LastCorrection int64
	LastStation    string
	LastN          int64
	LastID         string
	Pieces         int64
	Postings       int64
	IsOpen         int64
	Fold           string
}

func (f *workerFold) checkpoint() (recost.Checkpoint, error) {
	monday, err := costing.ParseDate(f.Week)
	if err != nil {
		return recost.Checkpoint{}, err
	}
	c := recost.Checkpoint{Week: monday, Last: recost.OrderKey{
		At: f.LastAtMs, Correction: f.LastCorrection == 1, Station: f.LastStation, N: f.LastN, ID: f.LastID,
	}}
	if err := json.Unmarshal([]byte(f.Fold), &c.Fold); err != nil {
		return c, fmt.Errorf("the fold of worker %s, week of %s: %w", f.Worker, f.Week, err)
	}
	return c, nil
}

func foldRow(worker string, c *recost.Checkpoint, pieces, postings int) (workerFold, error) {
	text, err := json.Marshal(&c.Fold)
	return workerFold{
		Worker: worker, Week: c.Week.String(), LastAtMs: c.Last.At, LastCorrection: number(c.Last.Correction),
		LastStation: c.Last.Station, LastN: c.Last.N, LastID: c.Last.ID, Pieces: int64(pieces), Postings: int64(postings),
		IsOpen: number(c.Fold.Open != nil), Fold: string(text),
	}, err
}

// weekUnit names the postings that the entries of a worker's week made.
func weekUnit(worker, monday string) string { return "w/" + worker + "/" + monday }

const (
	headsTable = "worker_heads"
	weeksTable = "worker_weeks"
)

// writeFolds puts checkpoints into one of the two tables.
func (tx *Tx) writeFolds(d *derived, table string, folds []workerFold) error {
	n := len(folds)
	worker, week, station, id, fold := make([]string, n), make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	at, correction, num := make([]int64, n), make([]int64, n), make([]int64, n)
	pieces, postings, open := make([]int64, n), make([]int64, n), make([]int64, n)
	for i := range folds {
		f := &folds[i]
		worker[i], week[i], station[i], id[i], fold[i] = f.Worker, f.Week, f.LastStation, f.LastID, f.Fold
		at[i], correction[i], num[i] = int64(f.LastAtMs), f.LastCorrection, f.LastN
		pieces[i], postings[i], open[i] = f.Pieces, f.Postings, f.IsOpen
	}
	key := "worker"
	if table == weeksTable {
		key = "worker, week"
	}
	return tx.Insert(d.ctx, table, "ON CONFLICT ("+key+") DO UPDATE SET week = excluded.week, last_at_ms = excluded.last_at_ms, "+
		"last_correction = excluded.last_correction, last_station = excluded.last_station, last_n = excluded.last_n, "+
		"last_id = excluded.last_id, pieces = excluded.pieces, postings = excluded.postings, is_open = excluded.is_open, "+
		"fold = excluded.fold",
		Column{"worker", worker}, Column{"week", week}, Column{"last_at_ms", at}, Column{"last_correction", correction},
		Column{"last_station", station}, Column{"last_n", num}, Column{"last_id", id}, Column{"pieces", pieces},
		Column{"postings", postings}, Column{"is_open", open}, Column{"fold", fold})
}
