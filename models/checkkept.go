package models

import (
	"encoding/json"

	"hulltally/costing/clock"
)

// What the next read is computed on from must be right too: the stations'
// contexts, the workers' folds and the stock books.

// head notes where a station's sentence stands after its last read.
func (c *checking) head(last *readRecord, context *clock.Context) error {
	if last.Station == "" { // no station was heard yet
		return nil
	}
	text, err := json.Marshal(context)
	c.heads = append(c.heads, stationHead{last.Station, last.AtMs, last.N, last.ID, string(text)})
	return err
}

// keptHeads compares the stations' contexts.
func (c *checking) keptHeads() error {
	var rows []stationHead
	if err := c.tx.DB.Find(&rows).Error; err != nil {
		return err
	}
	kept := map[string]stationHead{}
	for _, r := range rows {
		kept[r.Station] = r
	}
	for _, is := range c.heads {
		if was := kept[is.Station]; was != is {
			c.differ("context of station "+is.Station, was, is)
		}
	}
	c.made["station_heads"] = len(c.heads)
	return nil
}

// folds compares a worker's checkpoints: the last is the head.
func (c *checking) folds(worker string, folds []workerFold) error {
	kept := map[string]map[string]workerFold{headsTable: {}, weeksTable: {}}
	for table, byWeek := range kept {
		var rows []workerFold
		if err := c.tx.DB.Table(table).Find(&rows, "worker = ?", worker).Error; err != nil {
			return err
		}
		for _, r := range rows {
			byWeek[r.Week] = r
		}
	}
	for i, is := range folds {
		table := weeksTable
		if i == len(folds)-1 {
			table = headsTable
		}
		c.made[table]++
		if was := kept[table][is.Week]; was != is {
			c.differ(table+" of "+worker+", week of "+is.Week, was, is)
		}
	}
	return nil
}

// books reads the kept stock books by unit.
func (c *checking) books() (map[string]stockBook, error) {
	var rows []stockBook
	if err := c.tx.DB.Find(&rows).Error; err != nil {
		return nil, err
	}
	books := map[string]stockBook{}
	for _, r := range rows {
		books[r.Unit] = r
	}
	return books, nil
}
