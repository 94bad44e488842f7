package handlers

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"hulltally/models"
)

// mostReads is how many reads one request may bring.
const mostReads = 1000

// mostFaults bounds how many wrong reads an answer lists.
const mostFaults = 20

// parseReads reads the body of a station: one read, or an array of them. It is
// strict, for a field that is misspelt would be lost in silence: names have to
// be exactly those of the contract, each once.
func parseReads(body []byte, station string) (reads []models.ReadRow, one bool, err error) {
	body = bytes.TrimLeft(body, " \t\r\n")
	if !utf8.Valid(body) {
		return nil, false, models.Errorf(models.Invalid, "the body is not UTF-8; nothing was recorded")
	}
	var raw []json.RawMessage
	if one = len(body) > 0 && body[0] == '{'; one {
		raw = []json.RawMessage{body}
	} else if err := json.Unmarshal(body, &raw); err != nil || raw == nil {
		return nil, false, models.Errorf(models.Invalid, "the body is neither a read nor an array of reads; nothing was recorded")
	}
	if len(raw) > mostReads {
		return nil, false, models.Errorf(models.Invalid, "%d reads are more than the %d of one request: send them in parts; nothing was recorded", len(raw), mostReads)
	}
	var faults readFaults
	reads = make([]models.ReadRow, len(raw))
	for i, text := range raw {
		var field string
		if reads[i], field, err = parseRead(text, station); err != nil {
			if faults = append(faults, readFault{i, field, err.Error()}); len(faults) == mostFaults {
				break
			}
		}
	}
	if faults != nil {
		return nil, one, faults
	}
	return reads, one, nil
}

// rawRead is a read with its fields as they came.
type rawRead struct {
	id, at, payload string
	station         *string
	n               json.Number
}

func parseRead(text []byte, station string) (models.ReadRow, string, error) {
	raw, field, err := readFields(text)
	if err != nil {
		return models.ReadRow{}, field, err
	}
	if raw.station != nil && *raw.station != station {
		return models.ReadRow{}, "station", fmt.Errorf("the key is of station %s, not of %q: each station has a key of its own", station, *raw.station)
	}
	return models.NewRead(raw.id, station, raw.n, raw.at, raw.payload)
}

// readFields takes an object of a read apart. The decoder of the standard
// library would take fields of any case, and the last of two.
func readFields(text []byte) (raw rawRead, field string, err error) {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	if open, err := dec.Token(); err != nil || open != json.Delim('{') {
		return raw, "", errors.New("is not an object with id, n, at and payload")
	}
	seen := map[string]bool{}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return raw, "", errBroken
		}
		name, _ := token.(string) // inside an object a key is always text
		if seen[name] {
			return raw, name, errors.New("is given twice: give it once")
		}
		seen[name] = true
		value, err := dec.Token()
		if err != nil {
			return raw, "", errBroken
		}
		if err := raw.set(name, value); err != nil {
			return raw, name, err
		}
	}
	if _, err := dec.Token(); err != nil {
		return raw, "", errBroken
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return raw, "", errors.New("is followed by something else: send several reads as an array")
	}
	for _, name := range []string{"id", "n", "at", "payload"} {
		if !seen[name] {
			return raw, name, errors.New("is missing: give it")
		}
	}
	return raw, "", nil
}

var errBroken = errors.New("is not JSON")

func (r *rawRead) set(name string, value json.Token) error {
	text, isText := value.(string)
	number, isNumber := value.(json.Number)
	switch name {
	case "id":
		r.id = text
	case "at":
		r.at = text
	case "payload":
		r.payload = text
	case "station":
		r.station = &text
	case "n":
		if r.n = number; !isNumber {
			return errors.New("is not a whole number")
		}
		return nil
	default:
		return errors.New("is no field of a read: take it away")
	}
	if !isText {
		return errors.New("is not text")
	}
	return nil
}
