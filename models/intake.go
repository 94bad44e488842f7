package models

import (
	"context"
	"errors"
	"sync"
	"time"

	"hulltally/costing"
)

// intakeBatch is how many reads one transaction takes at most.
const intakeBatch = 256

// Intake shares transactions: the reads that queue while one commits go into
// the next together, so that flushes and round trips are shared. There is no
// waiting window; a lone read is taken at once.
type Intake struct {
	store *Store
	now   func() time.Time
	queue chan *submission
	stop  chan struct{}
	done  sync.WaitGroup
}

type submission struct {
	reads   []ReadRow
	clock   *ClockLook // nil: the sender didn't tell its clock
	answers []Answer
	err     error
	ready   chan struct{}
}

// ErrStopped says that the intake takes no more reads.
var ErrStopped = errors.New("the server is stopping: send the reads again")

// NewIntake starts an intake. now is the clock that receipts are noted by.
func NewIntake(s *Store, now func() time.Time) *Intake {
	in := &Intake{store: s, now: now, queue: make(chan *submission, 4*intakeBatch), stop: make(chan struct{})}
	in.done.Add(1)
	go in.run()
	return in
}

// Close stops the intake once what is queued has been taken in.
func (in *Intake) Close() {
	close(in.stop)
	in.done.Wait()
}

// Take records reads of one sender. It returns once they are durable. A batch
// is recorded whole or not at all.
func (in *Intake) Take(ctx context.Context, reads []ReadRow) ([]Answer, error) {
	return in.TakeFrom(ctx, reads, nil)
}

// TakeFrom is Take of a sender that told its clock, whose error is kept with
// the reads.
func (in *Intake) TakeFrom(ctx context.Context, reads []ReadRow, look *ClockLook) ([]Answer, error) {
	s := &submission{reads: reads, clock: look, ready: make(chan struct{})}
	select {
	case <-in.stop:
		return nil, ErrStopped
	case <-ctx.Done():
		return nil, ctx.Err()
	case in.queue <- s:
	}
	select {
	case <-s.ready:
		return s.answers, s.err
	case <-ctx.Done(): // it may be recorded yet; the same ids again do no harm
		return nil, ctx.Err()
	}
}

func (in *Intake) run() {
	defer in.done.Done()
	for {
		select {
		case s := <-in.queue:
			in.commit(in.gather(s))
		case <-in.stop:
			for {
				select {
				case s := <-in.queue:
					in.commit(in.gather(s))
				default:
					return
				}
			}
		}
	}
}

// gather takes what has queued meanwhile.
func (in *Intake) gather(first *submission) []*submission {
	batch, n := []*submission{first}, len(first.reads)
	for n < intakeBatch {
		select {
		case s := <-in.queue:
			batch = append(batch, s)
			n += len(s.reads)
		default:
			return batch
		}
	}
	return batch
}

// commit records a batch in one transaction. Where that fails each submission
// is tried alone, so that a poisoned one fails alone.
func (in *Intake) commit(batch []*submission) {
	err := in.record(batch)
	if err != nil && len(batch) > 1 {
		for _, s := range batch {
			s.err = in.record([]*submission{s})
		}
	} else {
		for _, s := range batch {
			s.err = err
		}
	}
	for _, s := range batch {
		close(s.ready)
	}
}

func (in *Intake) record(batch []*submission) error {
	var all []ReadRow
	for _, s := range batch {
		all = append(all, s.reads...)
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	var answers []Answer
	err := in.store.InTx(ctx, func(tx *Tx) (err error) {
		if answers, err = tx.record(ctx, all, costing.InstantOf(in.now())); err != nil {
			return err
		}
		return tx.recordClocks(ctx, batch)
	})
	if err != nil {
		return err
	}
	for _, s := range batch {
		s.answers, answers = answers[:len(s.reads)], answers[len(s.reads):]
	}
	return nil
}
