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

// clockDays is how far back the page of stations looks at their clocks.
const clockDays = 7

// compareClocks tells the sender our time, and flags reads of one whose clock
// is wrong. They are kept as they came: only a person can tell what was meant. How far the
// clock was off is kept too, whether right or wrong.
func (s *Server) compareClocks(v *Visit, reads []models.ReadRow) (*models.ClockLook, error) {
	now := costing.InstantOf(s.now())
	v.Header(timeHeader, now.String())
	text := v.GetHeader(sentHeader)
	if text == "" {
		return nil, nil // a sender need not tell its clock
	}
	sent, err := costing.ParseInstant(text)
	if err != nil {
		return nil, models.Errorf(models.Invalid, "the header %s is no instant such as 2026-03-01T07:00:00.250Z; nothing was recorded", sentHeader)
	}
	look := &models.ClockLook{Station: v.Caller.Station, Sent: sent, Received: now}
	off := time.Duration(look.Error()) * time.Millisecond
	if off.Abs() <= clockError {
		return look, nil
	}
	way := "ahead"
	if off < 0 {
		way = "behind"
	}
	flag := fmt.Sprintf("clock %d min %s", int64(off.Abs().Round(time.Minute)/time.Minute), way)
	for i := range reads {
		reads[i].Flag = flag
	}
	return look, nil
}

// clockTold is a station's clock as the page of stations tells of it.
type clockTold struct {
	At          costing.Instant
	Last, Worst string // such as "2.4 s ahead"
	Wrong       bool   // the last is beyond what is believed
	ReadsOff    int64
}

// clocksTold looks at the stations' clocks of late.
func (s *Server) clocksTold(v *Visit) (map[string]*clockTold, error) {
	since := costing.InstantOf(s.now().AddDate(0, 0, -clockDays))
	clocks, err := s.store.StationClocks(v.Request.Context(), since, clockError.Milliseconds())
	if err != nil {
		return nil, err
	}
	told := map[string]*clockTold{}
	for station, c := range clocks {
		told[station] = &clockTold{
			At: c.AtMs, Last: clockWords(c.ErrorMs), Worst: clockWords(c.WorstMs), ReadsOff: c.ReadsOff,
			Wrong: (time.Duration(c.ErrorMs) * time.Millisecond).Abs() > clockError,
		}
	}
	return told, nil
}

// clockWords is an error in seconds to a tenth, and which way.
func clockWords(ms int64) string {
	way := "ahead"
	if ms < 0 {
		way, ms = "behind", -ms
	}
	tenths := (ms + 50) / 100
	if tenths == 0 {
		return "right"
	}
	return fmt.Sprintf("%d.%d s %s", tenths/10, tenths%10, way)
}
