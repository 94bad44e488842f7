package models

import (
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// HoldWait warns whoever clocks on to a job that should still wait. It forbids
// nothing: what is done in spite of it stands on the leader's desk.
type HoldWait struct {
	Kind  string // demould, post-cure, paint or other
	Job   string // that has to stand
	About string // its stage and part
	Begun bool   // it is signed off; if not, how long is not known
	Until costing.Instant
	Left  int64 // seconds
}

// waitOf is what a read should have waited for, if it clocked on to a job.
func (tx *Tx) waitOf(snap *Snapshot, r *readRecord) (*HoldWait, error) {
	if r.Code != "clocked_on" || len(snap.Yard.JobHolds) == 0 {
		return nil, nil
	}
	waits, err := tx.waits(snap, snap.Resolve(r.Payload, r.AtMs).Key, r.AtMs)
	if err != nil || len(waits) == 0 {
		return nil, err
	}
	return snap.holdWait(&waits[len(waits)-1], r.AtMs), nil
}

func (s *Snapshot) holdWait(w *clock.Wait, at costing.Instant) *HoldWait {
	h := &HoldWait{Kind: w.Kind, Job: w.Job, Begun: w.Begun, Until: w.Until}
	if w.Begun {
		h.Left = (int64(w.Until-at) + 999) / 1000
	}
	if j := s.Yard.Jobs[w.Job]; j != nil {
		h.About = s.aboutJob(j.Stage, j.Part)
	}
	return h
}

// waits lists the holds that a job is in at an instant, by what was known of
// sign-offs then.
func (tx *Tx) waits(snap *Snapshot, job string, at costing.Instant) ([]clock.Wait, error) {
	holds := snap.Yard.JobHolds[job]
	if len(holds) == 0 {
		return nil, nil
	}
	jobs := make([]string, len(holds))
	for i := range holds {
		jobs[i] = holds[i].Job
	}
	stated, err := tx.statedOf(snap, jobs, at)
	if err != nil {
		return nil, err
	}
	return clock.Waits(snap.Yard, job, at, func(job string) (costing.Instant, bool) { return clock.SignedSince(stated[job]) }), nil
}

// statedOf are the statements of some jobs' progress that stood at an instant,
// scanned and made at the desk; of all jobs where none is named.
func (tx *Tx) statedOf(snap *Snapshot, jobs []string, at costing.Instant) (map[string][]*clock.Entry, error) {
	stated := map[string][]*clock.Entry{}
	take := func(list []*clock.Entry) {
		for _, e := range list {
			if len(jobs) == 0 || slices.Contains(jobs, e.Job) {
				stated[e.Job] = append(stated[e.Job], e)
			}
		}
	}
	take(clock.FromDesk(snap.Yard, at))
	q := tx.DB.Where("kind = 'progress' AND at_ms <= ? AND (voided_by = '' OR voided_at_ms > ?)", at, at)
	if len(jobs) > 0 {
		q = q.Where("job IN ?", jobs)
	}
	var rows []entryRecord
	if err := q.Find(&rows).Error; err != nil {
		return nil, err
	}
	take(entriesOf(rows))
	return stated, nil
}
