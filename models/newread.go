package models

import (
	"encoding/json"
	"reflect"

	"hulltally/costing/clock"
)

// NewRead makes a read of what a program sent, by the rules of reads.csv. The
// field is the one that is wrong, where one is.
func NewRead(id, station string, n json.Number, at, payload string) (row ReadRow, field string, err error) {
	v := reflect.ValueOf(&row).Elem()
	cells := map[string]string{"id": id, "station": station, "n": n.String(), "at": at, "payload": payload}
	for _, c := range readsFile.columns {
		if err := c.read(cells[c.name], v); err != nil {
			return ReadRow{}, c.name, err
		}
	}
	return row, "", nil
}

// notYours answers a read whose id another station has used: what was heard
// there, with names, is no business of this one.
func notYours(id string) Answer {
	return Answer{
		ID: id, Outcome: clock.Refused, Code: "id_of_another", Known: true,
		Say: "This read came from another station before: scan again",
	}
}
