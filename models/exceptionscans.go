package models

import (
	"fmt"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// heap is reads of one station and day that are alike.
type heap struct {
	readRecord
	day           string
	n             int
	first, latest costing.Instant
}

// heaps puts alike reads together, so that a badge tried five times is one
// thing to settle.
func (x *looking) heaps(where string, alike func(*readRecord) string) (map[string]*heap, error) {
	var rows []*readRecord
	if err := x.tx.DB.Order("at_ms, n, id").Find(&rows, where).Error; err != nil {
		return nil, err
	}
	found := map[string]*heap{}
	for _, r := range rows {
		day := costing.DateOf(r.AtMs, x.snap.Yard.Zone).String()
		id := r.Station + "/" + day + "/" + alike(r)
		h := found[id]
		if h == nil {
			h = &heap{readRecord: *r, day: day, first: r.AtMs}
			found[id] = h
		}
		h.n++
		h.latest = max(h.latest, r.ReceivedMs)
	}
	return found, nil
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// findUnknownCodes: what was scanned and meant nothing, or is no longer valid.
func findUnknownCodes(x *looking) ([]Exception, error) {
	found, err := x.heaps("code = 'unknown_code' OR code = 'unknown_station'", func(r *readRecord) string { return clipped(r.Payload) })
	if err != nil {
		return nil, err
	}
	var list []Exception
	for id, h := range found {
		e := Exception{ID: id, At: h.first, Latest: h.latest, Station: h.Station, Ask: "Find out who it was and add what is missing, or let it stand."}
		if h.Code == "unknown_station" {
			e.What = fmt.Sprintf("Reads came %s from a station that the yard does not know.", times(h.n))
		} else {
			why := h.Detail
			if why == "" {
				why = "it is not known"
			}
			e.What = fmt.Sprintf("%s was scanned %s: %s.", clipped(h.Payload), times(h.n), why)
		}
		list = append(list, e)
	}
	return list, nil
}

func clipped(s string) string {
	runes := []rune(s)
	if len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return s
}

// findFlaggedReads: reads of a clock that is wrong, or that came late.
func findFlaggedReads(x *looking) ([]Exception, error) {
	found, err := x.heaps("flag <> ''", func(r *readRecord) string { return r.Flag })
	if err != nil {
		return nil, err
	}
	var list []Exception
	for id, h := range found {
		list = append(list, Exception{
			ID: id, At: h.first, Latest: h.latest, Station: h.Station,
			What: fmt.Sprintf("Reads of %s: %s, %s. They are booked at the station's own time.", h.day, h.Flag, times(h.n)),
			Ask:  "Put the station right, look at the bookings of that day, and let it stand.",
		})
	}
	return list, nil
}

// findProblems: what the floor told of with the problem card.
func findProblems(x *looking) ([]Exception, error) {
	told, err := x.tx.noted(x.ctx, "kind = 'problem' AND voided_by = ''")
	if err != nil {
		return nil, err
	}
	reworks, err := reworksFile.all(x.ctx, x.tx)
	if err != nil {
		return nil, err
	}
	opened := map[string]string{}
	for _, r := range reworks {
		opened[r.Problem] = r.Job
	}
	var list []Exception
	for _, e := range told {
		who := x.snap.whoOf(e)
		if who == "" {
			who = "Somebody without a badge"
		}
		ask := "See to it, open rework for it if it takes some, and say what was done."
		if job := opened[e.ID]; job != "" {
			ask = "Rework " + job + " is open for it: say when it is seen to."
		}
		list = append(list, Exception{
			ID: e.ID, At: e.At, Worker: e.Worker, Crew: e.Crew, Job: e.Job, Station: e.Station, Problem: e.ID,
			What: fmt.Sprintf("%s: %s, at %s.", ProblemName(clock.ProblemKind(e.Detail)), who, x.snap.doing(e.Job, "")), Ask: ask,
		})
	}
	return list, nil
}
