package models_test

import (
	"testing"

	"hulltally/models"
)

// A station that heard no answer sends a read again: the same id twice is the
// same read, in one file too.
func TestReadsMayComeTwice(t *testing.T) {
	const line = "6f1c2a34-0b5d-4e6f-8a90-1b2c3d4e5f01,GATE,1,2026-03-02T07:00:00Z,J0000019\n"
	reads, err := models.ParseReads([]byte("id,station,n,at,payload\n" + line + line))
	if err != nil || len(reads) != 2 {
		t.Errorf("ParseReads of a line twice = %d reads, %v; want both lines and no error", len(reads), err)
	}
}
