package models

import (
	"encoding/json"
	"reflect"
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
