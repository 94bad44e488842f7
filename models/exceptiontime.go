package models

import (
	"fmt"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

func (tx *Tx) openFolds() ([]workerFold, error) {
	var open []workerFold
	return open, tx.DB.Table(headsTable).Order("worker").Find(&open, "is_open = 1").Error
}

// spell is a booking, or what of it matters, put together from its pieces.
type spell struct {
	clock.Piece
	end     int64 // second
	seconds int64
}

// spells gathers pieces by a key; each keeps its first piece and its end.
func spells(pieces []clock.Piece, key func(*clock.Piece) string) map[string]*spell {
	found := map[string]*spell{}
	for i := range pieces {
		p := &pieces[i]
		s := found[key(p)]
		if s == nil {
			s = &spell{Piece: *p}
			found[key(p)] = s
		}
		if p.Start < s.Start {
			s.Piece = *p
		}
		s.end = max(s.end, p.Start+p.Seconds)
		s.seconds += p.Seconds
	}
	return found
}

// flagged are stored pieces with a mark, and those that run.
func (x *looking) flagged(where string, is func(*clock.Piece) bool) ([]clock.Piece, error) {
	stored, err := x.tx.storedPieces(where)
	if err != nil {
		return nil, err
	}
	var list []clock.Piece
	for _, pieces := range stored {
		list = append(list, pieces...)
	}
	running, err := x.running()
	for i := range running {
		if is(&running[i]) {
			list = append(list, running[i])
		}
	}
	return list, err
}

// deskBack is how many days back the desk looks among ordinary bookings for
// those that should not have been.
const deskBack = 62

// doing is what a piece was on, in words.
func (s *Snapshot) doing(job, indirect string) string {
	if job == "" {
		return s.name(string(clock.Indirect), indirect)
	}
	if j := s.Yard.Jobs[job]; j != nil {
		return job + ", " + s.aboutJob(j.Stage, j.Part)
	}
	return job
}

func (s *Snapshot) clockTime(second int64) string {
	return costing.Instant(second * 1000).Time().In(s.Yard.Zone).Format("15:04")
}

// findForgotten: a booking that nobody ended is booked up to where the shift
// presumably did; clocking off there settles it.
func findForgotten(x *looking) ([]Exception, error) {
	pieces, err := x.flagged("provisional = 1", func(p *clock.Piece) bool { return p.Provisional })
	if err != nil {
		return nil, err
	}
	var list []Exception
	for id, s := range spells(pieces, func(p *clock.Piece) string { return p.Worker + "/" + p.Opened }) {
		list = append(list, Exception{
			ID: id, At: costing.Instant(s.Start * 1000), Worker: s.Worker, Job: s.Job, Station: s.Station,
			What: fmt.Sprintf("On %s since %s and never clocked off: booked up to %s.", x.snap.doing(s.Job, s.Indirect),
				x.snap.clockTime(s.Start), x.snap.clockTime(s.end)),
			Ask: "Clock off at the time they went.",
			Fix: &CorrectionRow{Worker: s.Worker, At: costing.Instant(s.end * 1000), Kind: AddEntry, Target: offTarget},
		})
	}
	return list, nil
}

// findRateGaps: time of a worker without a rate, by month.
func findRateGaps(x *looking) ([]Exception, error) {
	pieces, err := x.flagged("no_rate = 1", func(p *clock.Piece) bool { return p.NoRate })
	if err != nil {
		return nil, err
	}
	var list []Exception
	for id, s := range spells(pieces, func(p *clock.Piece) string { return p.Worker + "/" + p.Date.Period().String() }) {
		list = append(list, Exception{
			ID: id, At: costing.Instant(s.Start * 1000), Worker: s.Worker,
			What: fmt.Sprintf("%s of %s from %s on have no rate in the yard's files.", hoursMinutes(s.seconds), s.Date.Period(), s.Date),
			Ask:  "Ask the office to enter the rate; this goes when it has.",
		})
	}
	return list, nil
}

// hoursMinutes is h:mm h.
func hoursMinutes(seconds int64) string { return fmt.Sprintf("%d:%02d h", seconds/3600, seconds/60%60) }

// findAfterSignOff: somebody clocked on to a job after it was signed off, or
// is still on it well after.
func findAfterSignOff(x *looking) ([]Exception, error) {
	stated, err := x.tx.statedOf(x.snap, nil, x.now)
	if err != nil {
		return nil, err
	}
	signed := map[string]costing.Instant{}
	var jobs []string
	for job, list := range stated {
		if at, is := clock.SignedSince(list); is {
			signed[job] = at
			jobs = append(jobs, job)
		}
	}
	slices.Sort(jobs)
	var pieces []clock.Piece
	for part := range slices.Chunk(jobs, 500) {
		stored, err := x.tx.storedPieces("job IN ? AND date >= ?", part, (x.day - deskBack).String())
		if err != nil {
			return nil, err
		}
		for _, ps := range stored {
			pieces = append(pieces, ps...)
		}
	}
	running, err := x.running()
	if err != nil {
		return nil, err
	}
	pieces = append(pieces, running...)
	var list []Exception
	for _, s := range spells(pieces, func(p *clock.Piece) string { return p.Worker + "/" + p.Opened }) {
		at, is := signed[s.Job]
		begun := costing.Instant(s.Start * 1000)
		grace := costing.Instant(x.snap.Yard.Policy.Grace.Or(costing.DateOf(at, x.snap.Yard.Zone), costing.DefaultGrace).Milliseconds())
		if !is || begun <= at && (!s.Running || x.now <= at+grace) {
			continue
		}
		what := fmt.Sprintf("Clocked on at %s, though it was signed off on %s.", x.snap.clockTime(s.Start), x.snap.dayTime(at))
		if begun <= at {
			what = fmt.Sprintf("Still on it, though it was signed off on %s.", x.snap.dayTime(at))
		}
		list = append(list, Exception{
			ID: s.Worker + "/" + s.Opened, At: max(begun, at), Worker: s.Worker, Job: s.Job, Station: s.Station, What: what,
			Ask: "State the job's progress anew, correct the booking, or let it stand.",
		})
	}
	return list, nil
}

// dayTime is a local day and time of day.
func (s *Snapshot) dayTime(at costing.Instant) string {
	return at.Time().In(s.Yard.Zone).Format("2006-01-02, 15:04")
}
