package handlers

import (
	"fmt"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

const (
	sentHeader = "Hulltally-Sent" // a station's clock as it sends
	timeHeader = "Hulltally-Time" // ours as we answer
)

// clockError is how far a station's clock may be off before its reads are
// flagged: a minute decides neither an hour nor an order of scans.
const clockError = time.Minute

// compareClocks tells the sender our time, and flags reads of one whose clock
// is wrong. They are kept as they came: only a person can tell what was meant.
func (s *Server) compareClocks(v *Visit, reads []models.ReadRow) error {
	now := costing.InstantOf(s.now())
	v.Header(timeHeader, now.String())
	text := v.GetHeader(sentHeader)
	if text == "" {
		return nil
	}
	sent, err := costing.ParseInstant(text)
	if err != nil {
		return models.Errorf(models.Invalid, "the header %s is no instant such as 2026-03-01T07:00:00.250Z; nothing was recorded", sentHeader)
	}
	off := time.Duration(sent-now) * time.Millisecond
	if off.Abs() <= clockError {
		return nil
	}
	way := "ahead"
	if off < 0 {
		way = "behind"
	}
	flag := fmt.Sprintf("clock %d min %s", int64(off.Abs().Round(time.Minute)/time.Minute), way)
	for i := range reads {
		reads[i].Flag = flag
	}
	return nil
}
